package sheet

import (
	"bytes"
	"errors"
	"fmt"
	"slices"
	"strings"
	"testing"

	"golang.org/x/text/encoding/charmap"
	"golang.org/x/text/encoding/unicode"
	"pgregory.net/rapid"
)

func TestEncodingsAndDelimiters(t *testing.T) {
	const text = "No;Größe;Notiz\n1;¼ “Platte”;“é”\n2;halb;x\n"
	utf16 := func(e unicode.Endianness, bom unicode.BOMPolicy) []byte {
		b, err := unicode.UTF16(e, bom).NewEncoder().Bytes([]byte(text))
		if err != nil {
			t.Fatal(err)
		}
		return b
	}
	latin, err := charmap.Windows1252.NewEncoder().Bytes([]byte(text))
	if err != nil {
		t.Fatal(err)
	}
	for _, tc := range []struct {
		name string
		data []byte
		enc  Encoding
	}{
		{"plain", []byte(text), UTF8}, {"BOM", []byte("\xEF\xBB\xBF" + text), UTF8}, {"CRLF", []byte(strings.ReplaceAll(text, "\n", "\r\n")), UTF8}, {"CR", []byte(strings.ReplaceAll(text, "\n", "\r")), UTF8},
		{"1252", latin, Windows1252},
		{"16LE BOM", utf16(unicode.LittleEndian, unicode.UseBOM), UTF16LE}, {"16BE BOM", utf16(unicode.BigEndian, unicode.UseBOM), UTF16BE},
		{"16LE", utf16(unicode.LittleEndian, unicode.IgnoreBOM), UTF16LE}, {"16BE", utf16(unicode.BigEndian, unicode.IgnoreBOM), UTF16BE},
	} {
		for _, d := range Delimiters {
			data := tc.data
			if tc.enc == UTF8 || tc.enc == Windows1252 {
				data = bytes.ReplaceAll(data, []byte(";"), []byte(string(d)))
			} else if d != ';' {
				continue
			}
			table, err := Read(data, Options{})
			if err != nil {
				t.Errorf("%s %q: %v", tc.name, d, err)
				continue
			}
			if table.Encoding != tc.enc || table.Delimiter != d || !slices.Equal(table.Header, []string{"No", "Größe", "Notiz"}) || len(table.Rows) != 2 || table.Rows[0].Cells[1] != "¼ “Platte”" || table.Rows[1].Line != 3 {
				t.Errorf("%s %q: %+v", tc.name, d, table)
			}
		}
	}
}

func TestTables(t *testing.T) {
	for _, tc := range []struct {
		name, text string
		header     string
		rows       string
		faults     []int
	}{
		{"sep line", "sep=|\na|b\n1,5|2\n", "a b", "3:1,5/2", nil},
		{"sep tab", "sep=\t\na\tb\n1\t2\n", "a b", "3:1/2", nil},
		{"title row", "My plates\n\nNo,Date\n1,x\n", "No Date", "4:1/x", nil},
		{"twins and blanks", "a,,a,a,\n1,2,3,4,\n", "a columnB a(2) a(3)", "2:1/2/3/4", nil},
		{"short and blank rows", "a,b\n1\n,\n\n 2,3\n", "a b", "2:1/ 5: 2/3", nil},
		{"long row", "a,b\n1,2,3\n4,5,\n", "a b", "3:4/5", []int{2}},
		{"quoted", "a,b\n\"x, \"\"y\"\"\",\"1\n2\"\n3,4\n", "a b", "2:x, \"y\"/1\n2 4:3/4", nil},
		{"inch sign", "a,b\n5\" lens,2\n3,4\n", "a b", "2:5\" lens/2 3:3/4", nil},
		{"open quote", "a,b\n1,\"open\n2,3\n", "a b", "", []int{2}},
		{"open quote in the middle", "a,b\n1,2\n\"3\" x,y\n4,5\"\n6,7\n", "a b", "2:1/2 5:6/7", []int{3}},
		{"forced text", "a,b\n=\"012\",'=x\n", "a b", "2:012/=x", nil},
	} {
		table, err := Read([]byte(tc.text), Options{})
		if err != nil {
			t.Errorf("%s: %v", tc.name, err)
			continue
		}
		var rows []string
		for _, r := range table.Rows {
			rows = append(rows, fmt.Sprintf("%d:%s", r.Line, strings.Join(r.Cells, "/")))
		}
		var header []string
		for _, h := range table.Header {
			header = append(header, strings.ReplaceAll(h, " ", ""))
		}
		var faults []int
		for _, f := range table.Faults {
			faults = append(faults, f.Line)
		}
		if strings.Join(header, " ") != tc.header || strings.Join(rows, " ") != tc.rows || !slices.Equal(faults, tc.faults) {
			t.Errorf("%s: %q %q %v", tc.name, header, rows, faults)
		}
	}
}

func TestWhatIsNoTable(t *testing.T) {
	for name, data := range map[string]string{
		"empty": "", "one column": "a\n1\n2\n", "blank": "\n\n,,\n", "xlsx": "PK\x03\x04xxxx", "xls": "\xD0\xCF\x11\xE0xxxx", "pdf": "%PDF-1.7", "one NUL": "\x00",
	} {
		if table, err := Read([]byte(data), Options{}); err == nil {
			t.Errorf("%s: %+v", name, table)
		}
	}
	if _, err := Read([]byte("a,b\n1,2"), Options{Encoding: "ebcdic"}); err == nil {
		t.Error("an encoding nobody knows")
	}
	wide := strings.Repeat("a,", ColumnsMost+1) + "\n1,2\n"
	if _, err := Read([]byte(wide), Options{}); err == nil {
		t.Error("too many columns")
	}
	if _, err := Read([]byte("a,b\n1,\""+strings.Repeat("x", CellMost+1)+"\"\n"), Options{}); err == nil {
		t.Error("too long a cell")
	}
	if _, err := Read(bytes.Repeat([]byte("a,b\n"), RowsMost+3), Options{}); err == nil {
		t.Error("too many rows")
	}
	if _, err := Read([]byte("a\n"), Options{}); !errors.Is(err, ErrEmpty) {
		t.Errorf("one column: %v", err)
	}
}

// What is written is read back as it was, and no cell of it begins as a formula.
func TestWriteIsUndone(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		width := rapid.IntRange(2, 5).Draw(rt, "width")
		cell := rapid.Custom(func(rt *rapid.T) string {
			s := rapid.SampledFrom([]string{"", "=", "'", "''=", "-", "-5", "-5.25", "+1", "@x", "\t=", "＝1", `="x"`, `"`, ",", ";=1", "a\nb", "\n=x", "é"}).Draw(rt, "start") + rapid.StringN(0, 6, 20).Draw(rt, "rest")
			return strings.ReplaceAll(strings.ToValidUTF8(s, ""), "\r", "")
		})
		rows := [][]string{}
		header := []string{}
		for i := range width {
			header = append(header, letter(i))
		}
		rows = append(rows, header)
		for range rapid.IntRange(1, 4).Draw(rt, "rows") {
			row := []string{"filled"}
			for range width - 1 {
				row = append(row, cell.Draw(rt, "cell"))
			}
			rows = append(rows, row)
		}
		var b bytes.Buffer
		if err := Write(&b, func(yield func([]string) bool) {
			for _, r := range rows {
				if !yield(r) {
					return
				}
			}
		}); err != nil {
			rt.Fatal(err)
		}
		table, err := Read(b.Bytes(), Options{})
		if err != nil {
			rt.Fatalf("%v\n%q", err, b.String())
		}
		if len(table.Rows) != len(rows)-1 || len(table.Faults) > 0 || table.Delimiter != ',' {
			rt.Fatalf("%d rows, faults %v\n%q", len(table.Rows), table.Faults, b.String())
		}
		for i, r := range table.Rows {
			if !slices.Equal(r.Cells, rows[i+1]) {
				rt.Fatalf("%q became %q", rows[i+1], r.Cells)
			}
		}
		for _, r := range rows[1:] {
			for _, c := range r {
				if safe := Safe(c); safe != "" && strings.ContainsRune(formulaSigns, []rune(safe)[0]) && !negative.MatchString(safe) {
					rt.Fatalf("%q is written as %q", c, safe)
				}
			}
		}
	})
}

func FuzzRead(f *testing.F) {
	for _, s := range []string{"a,b\n1,2\n", "sep=;\na;b\n1;2", "\xFF\xFEa\x00,\x00b\x00\n\x00", "a,b\n\"", "a,b\n1,\"x\ny\"z\n", "\xEF\xBB\xBF\"a\",\"b\"\r\n\"'=1\",\"2\"\r\n", "sep=\"\na,b\n", "sep=\xff\n"} {
		f.Add([]byte(s))
	}
	f.Fuzz(func(t *testing.T, data []byte) {
		table, err := Read(data, Options{})
		if err != nil {
			return
		}
		seen := map[string]bool{}
		for _, h := range table.Header {
			if h == "" || seen[h] {
				t.Fatalf("header %q", table.Header)
			}
			seen[h] = true
		}
		for _, r := range table.Rows {
			if len(r.Cells) != len(table.Header) || r.Line <= table.Line && table.Line > 0 {
				t.Fatalf("row %+v of %+v", r, table.Header)
			}
		}
	})
}
