package daybook

import (
	"testing"
	"time"
)

// Values as people write them, where they can be meant in one way only.
func TestValuesAsPeopleWriteThem(t *testing.T) {
	const bad = "refused"
	for _, tc := range []struct{ key, text, want string }{
		{"exposure.seconds", "8s", "8"}, {"exposure.seconds", "8,5 S", "8.5"}, {"development.seconds", "15 s", "15"}, {"exposure.seconds", "8m", bad}, {"exposure.seconds", "1,250", bad}, {"exposure.seconds", "s", bad},
		{"exposure.stop", "f/5.6", "5.6"}, {"exposure.stop", "F5,6", "5.6"}, {"exposure.stop", "f", bad}, {"exposure.stop", "4s", bad},
		{"light.ev100", "9,5", "9.5"}, {"light.ev100", "-1,25", "-1.25"}, {"light.lux", "1.250", "1.25"}, {"light.lux", "1,250", bad}, {"light.lux", "1,2,3", bad},
		{"format", "half plate", "half"}, {"format", "4 × 5 in", "4x5"}, {"format", "5/8", bad},
		{"made", "8.3.2026", bad}, {"made", "18.3.2026", "2026-03-18"}, {"made", "8.8.2026", "2026-08-08"}, {"made", "8 March 2026", "2026-03-08"}, {"made", "3/8/2026", bad}, {"varnished", "31.2.2026", bad}, {"made", "1.1.1700", bad},
		{"support", "Tin", "tin"}, {"flaws", "Light leak, FOG", "light-leak; fog"},
	} {
		e := NewEntry(time.UTC)
		got := bad
		if err := e.Set(tc.key, tc.text); err == nil {
			got = e.Text(tc.key)
		}
		if got != tc.want {
			t.Errorf("%s %q is %s, want %s", tc.key, tc.text, got, tc.want)
		}
	}
}
