// Package portfolio stages the public site: it writes a project that Hugo
// turns into pages, and says which pictures go where in the finished tree.
//
// In goes consent.Site, the view that holds only what may be seen, and the
// pictures made for it. Out come content files, layouts, words, style sheets,
// scripts, the search index, IIIF descriptions and the files a host wants.
// Pictures themselves are not passed through Hugo: Staged.Copies lists them.
//
// What it refuses: a site without an address or a secret, and a stage folder
// that is not empty. A plate whose pictures are missing is left out whole.
// Everything a person wrote is data here: it travels as front matter under
// params and is escaped by the templates, never parsed as a template or markup.
// The studio's own texts for pages alone are Markdown: raw HTML, pictures and
// shortcodes in them come to nothing.
//
// It decides no visibility (consent does) and names no plate in an address
// that is not published; addresses carry tokens that cannot be worked out from
// plate ids. Only this package and record import pelletier/go-toml, here to
// read the language files for the words that go into index cards and manifests.
package portfolio
