package sheet

import (
	"encoding/csv"
	"strings"
)

// Delimiters are the signs between cells that are looked for.
var Delimiters = []rune{',', ';', '\t', '|'}

// headMost is how much of a text the delimiter is judged by, in bytes.
const headMost = 64 << 10

// detectDelimiter takes the sign that cuts most of the first rows into one and
// the same number of cells, the greater number if two do. A comma is the answer
// where nothing tells.
func detectDelimiter(text string) rune {
	head := text
	if len(head) > headMost {
		head = head[:headMost]
		if i := strings.LastIndexByte(head, '\n'); i > 0 {
			head = head[:i]
		}
	}
	best, most := ',', 0.0
	for _, d := range Delimiters {
		if s := steadiness(head, d); s > most {
			best, most = d, s
		}
	}
	return best
}

// steadiness is the share of rows that have the commonest number of cells, times
// that number less one.
func steadiness(head string, d rune) float64 {
	in := csv.NewReader(strings.NewReader(head))
	in.Comma, in.LazyQuotes, in.FieldsPerRecord, in.ReuseRecord = d, true, -1, true
	count, rows := map[int]int{}, 0
	for rows < 200 {
		cells, err := in.Read()
		if err != nil {
			break
		}
		count[len(cells)]++
		rows++
	}
	cells, often := 0, 0
	for n, times := range count {
		if times > often || times == often && n > cells {
			cells, often = n, times
		}
	}
	if rows == 0 || cells < 2 {
		return 0
	}
	share := float64(often) / float64(rows)
	return share * share * float64(cells-1)
}
