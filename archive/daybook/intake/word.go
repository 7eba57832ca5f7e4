package intake

import (
	"fmt"
	"math"
	"regexp"
	"slices"
	"strings"

	"sandarac/archive/daybook"
	"sandarac/archive/record"
)

// alike are words that people write for those a record takes. The photographer
// sees each in the mapping before anything is written.
var alike = map[string]map[string]string{
	"support": {"tintype": "tin", "ferrotype": "tin", "japanned iron": "tin", "aluminum": "aluminium", "alu": "aluminium", "alumitype": "aluminium", "trophy aluminum": "aluminium",
		"clear glass": "glass", "black glass": "glass", "ambrotype": "glass", "negative": "glass-negative", "glass negative": "glass-negative", "glas": "glass", "blech": "tin", "eisenblech": "tin", "aluminiumblech": "aluminium", "glasnegativ": "glass-negative", "negativ": "glass-negative"},
	"format": {"whole": "whole", "whole plate": "whole", "full": "whole", "full plate": "whole", "1/1": "whole", "half plate": "half", "1/2": "half", "1/2 plate": "half", "quarter plate": "quarter", "1/4": "quarter", "1/4 plate": "quarter",
		"sixth plate": "sixth", "1/6": "sixth", "1/6 plate": "sixth", "ganze platte": "whole", "ganz": "whole", "ganze": "whole", "halbe platte": "half", "halb": "half", "halbe": "half", "viertelplatte": "quarter", "viertel": "quarter", "sechstel": "sixth", "neuntel": "ninth", "ninth plate": "ninth", "1/9": "ninth", "1/9 plate": "ninth", "sixteenth plate": "sixteenth", "1/16": "sixteenth", "1/16 plate": "sixteenth"},
	"outcome":  {"keep": "keeper", "kept": "keeper", "keepers": "keeper", "redo": "remake", "retake": "remake", "remade": "remake", "scrap": "scrapped", "binned": "scrapped", "trash": "scrapped", "failed": "scrapped", "ausschuss": "scrapped", "verworfen": "scrapped", "wiederholt": "remake", "nochmal": "remake", "behalten": "keeper"},
	"judged":   {"underexposed": "under", "under exposed": "under", "overexposed": "over", "over exposed": "over", "correct": "right", "good exposure": "right", "ok": "right", "richtig": "right", "unterbelichtet": "under", "zu kurz": "under", "ueberbelichtet": "over", "überbelichtet": "over", "zu lang": "over"},
	"purpose":  {"test plate": "test", "still life": "still-life", "portraits": "portrait", "workshops": "workshop"},
	"featured": {"yes": "true", "y": "true", "x": "true", "no": "false", "n": "false"},
	"kind":     {"silver bath": "bath", "silver": "bath", "dev": "developer", "fix": "fixer"},
	"flaws":    {"comet": "comets", "oyster": "oysters", "fogged": "fog", "fogging": "fog", "pinhole": "pinholes", "streak": "streaks", "stain": "stains", "peeling": "lifting", "lifted": "lifting", "scratched": "scratch", "scratches": "scratch", "moved": "movement", "blur": "movement", "solarized": "solarised", "light leak": "light-leak", "dusty": "dust", "black spots": "black-spots"},
}

// likeWord is the accepted word that a cell most likely means; "" if none.
func likeWord(cell, to string, words []string) string {
	s := strings.ToLower(vulgarFractions(cell))
	s = strings.Join(strings.Fields(strings.Trim(s, " .!?")), " ")
	if w, ok := alike[to][s]; ok {
		return w
	}
	dashed := strings.ReplaceAll(s, " ", "-")
	if slices.Contains(words, dashed) {
		return dashed
	}
	var found []string
	for _, w := range words {
		if slices.Contains(strings.Fields(s), w) {
			found = append(found, w)
		}
	}
	if len(found) == 1 {
		return found[0]
	}
	return ""
}

func vulgarFractions(s string) string {
	return strings.Join(strings.Fields(strings.NewReplacer("½", "1/2", "¼", "1/4").Replace(s)), " ")
}

var sizeText = regexp.MustCompile(`^([\d.,/ ½¼¾]+?)\s*(mm|cm|in|inch|inches|")?\s*[x×*]\s*([\d.,/ ½¼¾]+?)\s*(mm|cm|in|inch|inches|")?$`)

// plateSize reads a plate's size: a name that a record takes, or two lengths with
// a unit, which are named if they are a named size.
func plateSize(cell, columnUnit string) (record.Format, error) {
	s := strings.ToLower(strings.Join(strings.Fields(cell), " "))
	if f, ok := record.FormatBySlug(strings.ReplaceAll(strings.ReplaceAll(s, "×", "x"), " ", "")); ok {
		return f, nil
	}
	p := sizeText.FindStringSubmatch(s)
	if p == nil {
		return record.Format{}, fmt.Errorf("“%s” is no plate size; accepted: %s, or two lengths with a unit, such as 120 x 160 mm", daybook.Clip(cell), strings.Join(record.FormatSlugs(), ", "))
	}
	m := &Mapping{Decimal: Point}
	if strings.Contains(p[1]+p[3], ",") {
		m.Decimal = Comma
	}
	unit := first(first(p[4], p[2]), columnUnit)
	if unit == "" {
		return record.Format{}, fmt.Errorf("“%s” has no unit; accepted: mm, cm or in, in the cell or as the column's unit", daybook.Clip(cell))
	}
	w, err := m.quantity(p[1], "exposure.extension_mm", first(p[2], unit))
	if err != nil {
		return record.Format{}, err
	}
	h, err := m.quantity(p[3], "exposure.extension_mm", unit)
	if err != nil {
		return record.Format{}, err
	}
	if f, ok := record.FormatOf(w, h); ok {
		return f, nil
	}
	if math.Min(w, h) < 5 || math.Max(w, h) > 2000 {
		return record.Format{}, fmt.Errorf("“%s” is no size of a plate; accepted: 5 to 2000 mm", daybook.Clip(cell))
	}
	return record.Format{WidthMM: w, HeightMM: h}, nil
}
