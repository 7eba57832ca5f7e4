package intake

import (
	"fmt"
	"math"
	"regexp"
	"strconv"
	"strings"

	"sandarac/archive/chemistry/unit"
	"sandarac/archive/daybook"
)

// dimension is what a key measures.
type dimension int

const (
	count dimension = iota // a number without a unit
	seconds
	celsius
	millimetres
	lux
	percent
	millilitres
	days
	hours
	stop
)

// dimensionOf is what a key measures, and whether it is a number at all.
func dimensionOf(key string) (dimension, bool) {
	switch key {
	case "exposure.seconds", "development.seconds":
		return seconds, true
	case "air.temperature_c", "development.temperature_c":
		return celsius, true
	case "exposure.extension_mm":
		return millimetres, true
	case "light.lux":
		return lux, true
	case "air.humidity_pct":
		return percent, true
	case "exposure.stop":
		return stop, true
	case "volume_ml":
		return millilitres, true
	case "ready_after_days", "retire_after_days":
		return days, true
	case "cure_hours":
		return hours, true
	case "light.ev100", "exposure.magnification", "retained_ml_per_dm2":
		return count, true
	}
	return count, false
}

// factors turn a unit into the key's own, by dimension. The first of each is the
// key's own.
var factors = map[dimension][]struct {
	name   string
	factor float64
	words  []string
}{
	seconds:     {{"s", 1, []string{"sec", "secs", "second", "seconds", "sek", `"`, "''"}}, {"min", 60, []string{"m", "mins", "minute", "minutes", "minuten", "'"}}, {"ms", 0.001, nil}},
	celsius:     {{"°C", 1, []string{"c", "° c", "deg c", "degc", "celsius"}}, {"°F", 0, []string{"f", "° f", "deg f", "degf", "fahrenheit"}}},
	millimetres: {{"mm", 1, nil}, {"cm", 10, nil}, {"in", 25.4, []string{"inch", "inches", `"`, "zoll"}}},
	lux:         {{"lux", 1, []string{"lx"}}, {"fc", 1 / (0.3048 * 0.3048), []string{"foot candles", "foot-candles", "footcandles", "ft cd"}}},
	percent:     {{"%", 1, []string{"pct", "percent", "% rh", "rh"}}},
	millilitres: {{"ml", 1, nil}, {"l", 1000, []string{"litre", "liter", "litres", "liters"}}, {"fl oz US", unit.MillilitresPerUSFluidOunce, []string{"us fl oz", "us oz"}}, {"fl oz imp", unit.MillilitresPerImperialFluidOunce, []string{"imp fl oz", "imperial fl oz", "uk fl oz"}}},
	days:        {{"days", 1, []string{"d", "day", "tage"}}, {"weeks", 7, []string{"week", "wochen"}}},
	hours:       {{"hours", 1, []string{"h", "hour", "std"}}, {"days", 24, []string{"d", "day", "tage"}}},
}

// ounces are units that could be several things, and what to write instead.
var ounces = map[string]bool{"oz": true, "ounce": true, "ounces": true, "fl oz": true, "floz": true, "fl. oz": true, "fluid ounces": true}

// units lists the units of a dimension by name.
func (d dimension) units() string {
	var out []string
	for _, f := range factors[d] {
		out = append(out, f.name)
	}
	return strings.Join(out, ", ")
}

// unitNamed finds a unit of any dimension; an ounce without a system counts, so
// that it is asked about.
func unitNamed(s string) (string, bool) {
	low := strings.ToLower(strings.TrimSpace(s))
	if ounces[low] {
		return "oz", true
	}
	for d := seconds; d <= hours; d++ {
		if u, _, ok := d.unit(low); ok {
			return u, true
		}
	}
	return "", false
}

func (d dimension) unit(s string) (name string, factor float64, ok bool) {
	low := strings.ToLower(strings.TrimSpace(s))
	for _, f := range factors[d] {
		if strings.ToLower(f.name) == low {
			return f.name, f.factor, true
		}
		for _, w := range f.words {
			if w == low {
				return f.name, f.factor, true
			}
		}
	}
	return "", 0, false
}

// convert turns a number of a unit into the key's own unit. The results of a
// conversion are rounded to a hundredth: no reading was finer.
func (d dimension) convert(x float64, name string) (float64, error) {
	if name == "" || d == count || d == stop {
		return x, nil
	}
	if ounces[strings.ToLower(name)] {
		return 0, fmt.Errorf("which ounce? accepted units: fl oz US, fl oz imp")
	}
	own, factor, ok := d.unit(name)
	switch {
	case !ok:
		return 0, fmt.Errorf("the unit is “%s”; accepted: %s", daybook.Clip(name), d.units())
	case own == "°F":
		return hundredth((x - 32) / 1.8), nil
	case factor == 1:
		return x, nil
	case own == "ms":
		return x * factor, nil
	}
	return hundredth(x * factor), nil
}

func hundredth(x float64) float64 { return math.Round(x*100) / 100 }

var (
	clockTime = regexp.MustCompile(`^(\d{1,3}):([0-5]\d)$`)                                    // 1:30 is a minute and a half
	minAndSec = regexp.MustCompile(`^(\d{1,3})\s*(?:m|min|')\s*([0-5]?\d)\s*(?:s|sec|"|'')?$`) // 1m30s
	fraction  = regexp.MustCompile(`^(?:(\d+)\s+)?(\d+)\s*/\s*(\d+)\s*(\D.*)?$`)               // 1/2, 4 3/4 in
	stopText  = regexp.MustCompile(`^(?i:f\s*[/:.]?\s*)(\d.*)$`)                               // f/5.6
	vulgar    = strings.NewReplacer("½", " 1/2", "¼", " 1/4", "¾", " 3/4", "⅓", " 1/3", "⅔", " 2/3", "⅛", " 1/8")
	numberHas = regexp.MustCompile(`^([+-]?[0-9][0-9.,]*|[+-]?[.,][0-9]+)\s*(\D.*)?$`)
)

// quantity reads a cell as a number in the key's own unit. The column's unit
// holds where the cell names none.
func (m *Mapping) quantity(cell, key, columnUnit string) (float64, error) {
	d, _ := dimensionOf(key)
	s := strings.Join(strings.Fields(vulgar.Replace(cell)), " ")
	if d == seconds {
		for _, form := range []*regexp.Regexp{clockTime, minAndSec} {
			if p := form.FindStringSubmatch(s); p != nil {
				minutes, _ := strconv.Atoi(p[1]) // digits, by the expression
				sec, _ := strconv.Atoi(p[2])
				return float64(60*minutes + sec), nil
			}
		}
	}
	if d == stop {
		if p := stopText.FindStringSubmatch(s); p != nil {
			s = p[1]
		}
	}
	if p := fraction.FindStringSubmatch(s); p != nil && d != stop {
		whole, _ := strconv.ParseFloat("0"+p[1], 64)
		top, _ := strconv.ParseFloat(p[2], 64)
		bottom, _ := strconv.ParseFloat(p[3], 64)
		if bottom == 0 {
			return 0, fmt.Errorf("“%s” divides by nothing", daybook.Clip(cell))
		}
		return d.convert(whole+top/bottom, first(p[4], columnUnit))
	}
	p := numberHas.FindStringSubmatch(s)
	if p == nil {
		return 0, fmt.Errorf("“%s” is not a number", daybook.Clip(cell))
	}
	x, err := m.number(p[1])
	if by := daybook.OneDecimal(p[1]); err != nil && d == stop && by != "" {
		x, err = strconv.ParseFloat(by, 64) // f/5.6 is the stop's name, whatever sign the table has
	}
	if err != nil {
		return 0, err
	}
	if (d == count || d == stop) && strings.TrimSpace(p[2]) != "" {
		return 0, fmt.Errorf("“%s” is not a number alone", daybook.Clip(cell))
	}
	return d.convert(x, first(p[2], columnUnit))
}

func first(a, b string) string {
	if a = strings.TrimSpace(a); a != "" {
		return a
	}
	return b
}

var (
	groupedByComma = regexp.MustCompile(`^[+-]?[1-9]\d{0,2}(,\d{3})+(\.\d+)?$`)
	groupedByPoint = regexp.MustCompile(`^[+-]?[1-9]\d{0,2}(\.\d{3})+(,\d+)?$`)
	pointNumber    = regexp.MustCompile(`^[+-]?(\d+(\.\d*)?|\.\d+)$`)
	commaNumber    = regexp.MustCompile(`^[+-]?(\d+(,\d*)?|,\d+)$`)
)

// number reads digits by the mapping's decimal sign.
func (m *Mapping) number(s string) (float64, error) {
	text := ""
	switch {
	case !strings.ContainsAny(s, ".,"):
		text = s
	case m.Decimal == Comma && commaNumber.MatchString(s):
		text = strings.Replace(s, ",", ".", 1)
	case m.Decimal == Comma && groupedByPoint.MatchString(s):
		text = strings.Replace(strings.ReplaceAll(s, ".", ""), ",", ".", 1)
	case m.Decimal == Point && pointNumber.MatchString(s):
		text = s
	case m.Decimal == Point && groupedByComma.MatchString(s):
		text = strings.ReplaceAll(s, ",", "")
	case m.Decimal == "":
		return 0, fmt.Errorf("“%s” can be read in two ways: write decimal: point or comma in the mapping", daybook.Clip(s))
	default:
		return 0, fmt.Errorf("“%s” is not a number with decimal: %s", daybook.Clip(s), m.Decimal)
	}
	x, err := strconv.ParseFloat(text, 64)
	if err != nil || math.IsInf(x, 0) {
		return 0, fmt.Errorf("“%s” is not a number", daybook.Clip(s))
	}
	return x, nil
}

// Decimal signs.
const (
	Point = "point"
	Comma = "comma"
)

// decimalOf judges by all numbers of a table which sign is the decimal one; ""
// if some can be read in two ways and nothing tells which. The example is the
// text that told, or that is open.
func decimalOf(cells []string) (decimal, example string) {
	point, comma, open := "", "", ""
	for _, c := range cells {
		p := numberHas.FindStringSubmatch(strings.TrimSpace(c))
		if p == nil || !strings.ContainsAny(p[1], ".,") {
			continue
		}
		s := p[1]
		byPoint := pointNumber.MatchString(s) || groupedByComma.MatchString(s)
		byComma := commaNumber.MatchString(s) || groupedByPoint.MatchString(s)
		switch {
		case byPoint && byComma:
			open = s
		case byPoint:
			point = s
		case byComma:
			comma = s
		}
	}
	switch {
	case point != "" && comma == "":
		return Point, point
	case comma != "" && point == "":
		return Comma, comma
	case point == "" && comma == "" && open == "":
		return Point, ""
	case point != "":
		return "", point + " and " + comma
	}
	return "", open
}
