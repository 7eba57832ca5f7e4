package intake

import (
	"regexp"
	"strings"
	"unicode"

	"golang.org/x/text/unicode/norm"

	"sandarac/archive/daybook"
)

// headings are names that columns go by, in English and German, for each key.
var headings = map[string][]string{
	"plate":                     {"plate", "plate no", "plate nr", "plate number", "plate id", "no", "nr", "number", "id", "platte", "plattennummer"},
	"made":                      {"date", "made", "date made", "day", "exposed", "shot", "taken", "datum", "tag", "date and time", "datetime", "timestamp"},
	"made.time":                 {"time", "time of day", "hour", "uhrzeit", "zeit", "clock"},
	"purpose":                   {"purpose", "kind of picture", "genre", "zweck"},
	"title":                     {"title", "titel", "subject", "motiv"},
	"alt":                       {"alt", "alt text"},
	"tags":                      {"tags", "keywords", "stichworte", "schlagworte"},
	"support":                   {"support", "base", "material", "plate type", "substrate", "traeger", "trager", "plate material", "metal or glass"},
	"format":                    {"format", "size", "plate size", "groesse", "grosse", "plattengroesse", "plattenformat"},
	"batches.collodion":         {"collodion", "collodion batch", "collodion no", "kollodium", "batch"},
	"batches.bath":              {"bath", "silver bath", "silver", "silberbad", "bad"},
	"batches.developer":         {"developer", "developer batch", "dev batch", "entwickler"},
	"batches.fixer":             {"fixer", "fixer batch", "fixierer", "fixierbad"},
	"batches.varnish":           {"varnish", "varnish batch", "lack", "firnis"},
	"lens":                      {"lens", "objective", "objektiv"},
	"camera":                    {"camera", "kamera"},
	"exposure.seconds":          {"exposure", "exposure time", "exp", "exp time", "seconds", "sec", "secs", "belichtung", "belichtungszeit", "shutter"},
	"exposure.stop":             {"stop", "f", "f stop", "fstop", "f number", "aperture", "blende"},
	"exposure.magnification":    {"magnification", "scale", "massstab", "abbildungsmassstab"},
	"exposure.extension_mm":     {"extension", "bellows", "bellows extension", "bellows draw", "auszug", "balgenauszug"},
	"light.kind":                {"light", "light source", "lighting", "kind of light", "licht"},
	"light.ev100":               {"ev", "ev 100", "meter", "meter reading", "light meter", "lw", "lw 100", "lichtwert"},
	"light.lux":                 {"lux", "illuminance", "foot candles", "footcandles"},
	"light.note":                {"light note", "light notes"},
	"air.temperature_c":         {"temp", "temperature", "air temp", "air temperature", "room temp", "room temperature", "temperatur", "raumtemperatur"},
	"air.humidity_pct":          {"humidity", "rh", "rel humidity", "relative humidity", "luftfeuchte", "luftfeuchtigkeit"},
	"development.seconds":       {"development", "development time", "dev time", "dev", "developed", "entwicklung", "entwicklungszeit"},
	"development.temperature_c": {"dev temp", "developer temp", "developer temperature", "development temperature"},
	"varnished":                 {"varnished", "varnish date", "varnished on", "lackiert", "gefirnisst"},
	"judged":                    {"judged", "judgement", "judgment", "exposure judged", "exposure result", "beurteilung"},
	"outcome":                   {"outcome", "result", "verdict", "status", "ergebnis"},
	"flaws":                     {"flaws", "flaw", "defects", "faults", "problems", "fehler"},
	"sitters":                   {"sitter", "sitters", "model", "models", "who", "person", "people", "name", "modell", "modelle", "wer", "personen", "portraitierte"},
	"client":                    {"client", "customer", "kunde", "kundin", "auftraggeber"},
	"scans":                     {"scan", "scans", "scan file", "file name", "filename", "image", "bild", "datei"},
	"notes":                     {"notes", "note", "remarks", "remark", "comments", "comment", "description", "bemerkung", "bemerkungen", "notizen"},
	"featured":                  {"featured"},
	"file":                      {"record file"},
}

// batchHeadings are those of a table of batches.
var batchHeadings = map[string][]string{
	"batch":               {"batch", "batch no", "batch number", "batch id", "no", "nr", "id", "name"},
	"kind":                {"kind", "type", "solution", "art"},
	"mixed":               {"mixed", "date", "date mixed", "made", "datum", "angesetzt"},
	"volume_ml":           {"volume", "amount", "quantity", "menge"},
	"ready_after_days":    {"ready after", "ready after days", "ripening"},
	"retire_after_days":   {"retire after", "retire after days", "shelf life"},
	"cure_hours":          {"cure", "cure hours", "curing", "drying"},
	"retained_ml_per_dm2": {"retained", "retained ml per dm2"},
	"notes":               {"notes", "note", "remarks", "comments", "recipe", "bemerkung"},
}

var (
	inBrackets = regexp.MustCompile(`[(\[]([^()\[\]]*)[)\]]`)
	unitAtEnd  = regexp.MustCompile(`(?i)(?:^|[ ,/_])(°\s?[cf]|[cf]|mm|cm|in|inch|inches|sec|secs|s|min|mins|minutes|lux|fc|foot candles|%|ml|l|oz|fl oz|fl oz us|fl oz imp|weeks|days|hours)$`)
)

// splitHeading takes a unit off a heading: "Temp (°F)" is temp in °F.
func splitHeading(h string) (name, unit string) {
	if m := inBrackets.FindStringSubmatch(h); m != nil {
		if u, ok := unitNamed(m[1]); ok {
			return plainHeading(inBrackets.ReplaceAllString(h, " ")), u
		}
		return plainHeading(inBrackets.ReplaceAllString(h, " ")), ""
	}
	if m := unitAtEnd.FindStringSubmatchIndex(h); m != nil && m[2] > 0 {
		if u, ok := unitNamed(h[m[2]:m[3]]); ok {
			return plainHeading(h[:m[2]]), u
		}
	}
	return plainHeading(h), ""
}

// plainHeading is a heading in small letters without marks and signs.
func plainHeading(h string) string {
	h = strings.ReplaceAll(strings.ToLower(h), "ß", "ss")
	h = strings.Map(func(c rune) rune {
		switch {
		case unicode.Is(unicode.Mn, c):
			return -1
		case unicode.IsLetter(c) || unicode.IsDigit(c) || c == '_' || c == '.':
			return c
		}
		return ' '
	}, norm.NFKD.String(h))
	return strings.Join(strings.Fields(strings.Trim(h, " .")), " ")
}

// keyFor finds the key a heading names; "" if it names none.
func keyFor(heading string, known map[string][]string) (key, unit string) {
	// The tool's own names first: a table it wrote has them.
	if exact := strings.TrimSpace(heading); isTarget(exact, known) {
		return exact, ""
	}
	whole := plainHeading(heading)
	name, unit := splitHeading(heading)
	for _, candidate := range []string{whole, name} {
		for key, names := range known {
			for _, n := range names {
				if n == candidate {
					if candidate == whole && whole != name {
						return key, ""
					}
					return key, unit
				}
			}
		}
	}
	if k, ok := daybook.KeyOf(strings.ReplaceAll(name, " ", "-")); ok && known["plate"] != nil {
		return k.Path, unit
	}
	return "", unit
}

// ownKey makes an own key of a heading.
func ownKey(heading string) string {
	var b strings.Builder
	for _, c := range plainHeading(heading) {
		switch {
		case c >= 'a' && c <= 'z' || c >= '0' && c <= '9':
			b.WriteRune(c)
		case b.Len() > 0 && !strings.HasSuffix(b.String(), "_"):
			b.WriteByte('_')
		}
		if b.Len() >= 40 {
			break
		}
	}
	name := strings.Trim(b.String(), "_")
	if name == "" {
		name = "column"
	}
	return "x_" + name
}
