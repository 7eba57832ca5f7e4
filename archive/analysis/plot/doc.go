// Package plot draws the analysis' series as SVG: keeper rates with their
// intervals, EI over the age of a batch with the fitted aim, the chance of
// each judgement over exposure, months and baths on their control charts.
//
// A Plot carries its picture, a title, a text alternative and a table of the
// same numbers, so that nothing is told by the picture alone. The SVG stands
// by itself: a viewBox, a title and a description, text as text, no style
// sheet, no script, nothing fetched. Lines of the frame and words take the
// colour of the text around them where the SVG is set inline, a grey that
// reads on light and dark elsewhere; series differ by shape or dash as well as
// by colour.
//
// Drawn here and not with a plotting library because gonum's writes neither
// title nor description and sets every colour for white paper.
package plot
