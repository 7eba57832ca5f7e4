package stats

import (
	"encoding/csv"
	"encoding/json"
	"math"
	"os"
	"path/filepath"
	"strconv"
	"testing"
)

// Reading testdata/published, whose README names each source.

const published = "../../testdata/published"

func table(t testing.TB, name string) []map[string]string {
	t.Helper()
	f, err := os.Open(filepath.Join(published, name))
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	var out []map[string]string
	for _, r := range rows[1:] {
		m := map[string]string{}
		for j, name := range rows[0] {
			m[name] = r[j]
		}
		out = append(out, m)
	}
	return out
}

func number(t testing.TB, s string) float64 {
	t.Helper()
	v, err := strconv.ParseFloat(s, 64)
	if err != nil {
		t.Fatal(err)
	}
	return v
}

func reference(t testing.TB, into any) {
	t.Helper()
	b, err := os.ReadFile(filepath.Join(published, "reference.json"))
	if err != nil {
		t.Fatal(err)
	}
	if err := json.Unmarshal(b, into); err != nil {
		t.Fatal(err)
	}
}

func is(b bool) float64 {
	if b {
		return 1
	}
	return 0
}

// near checks an absolute tolerance, rel a relative one.
func near(t testing.TB, name string, got, want, tol float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tol) {
		t.Errorf("%s = %.12g, want %.12g (tolerance %g, off by %g)", name, got, want, tol, math.Abs(got-want))
	}
}

func rel(t testing.TB, name string, got, want, tol float64) {
	t.Helper()
	near(t, name, got, want, tol*math.Abs(want))
}

func eachNear(t testing.TB, name string, got, want []float64, tol float64) {
	t.Helper()
	if len(got) != len(want) {
		t.Errorf("%s: %d values, want %d", name, len(got), len(want))
		return
	}
	for i := range got {
		near(t, name+" "+strconv.Itoa(i+1), got[i], want[i], tol)
	}
}

func eachRel(t testing.TB, name string, got, want []float64, tol float64) {
	t.Helper()
	if len(got) != len(want) {
		t.Errorf("%s: %d values, want %d", name, len(got), len(want))
		return
	}
	for i := range got {
		rel(t, name+" "+strconv.Itoa(i+1), got[i], want[i], tol)
	}
}
