package search

import (
	"bytes"
	"encoding/json"
	"fmt"
	"math"
	"slices"
)

// cardFields is the order of a card's values in a card file; the values of the
// data keys follow. cards.mjs has the same list.
var cardFields = [...]string{"url", "title", "caption", "date", "src", "src2x", "width", "height", "width2x", "alt", "widthMM", "heightMM"}

// dataKeys are the keys of Data that any document has, in order.
func dataKeys(docs []*Doc) []string {
	seen := map[string]bool{}
	keys := []string{}
	for _, d := range docs {
		for k := range d.Data {
			if !seen[k] {
				seen[k] = true
				keys = append(keys, k)
			}
		}
	}
	slices.Sort(keys)
	return keys
}

// cardShards writes the cards of per documents to each file.
func cardShards(docs []*Doc, keys []string, per int) ([][]byte, error) {
	var shards [][]byte
	for part := range slices.Chunk(docs, per) {
		cards := make([][]any, len(part))
		for i, d := range part {
			cards[i] = card(d, keys)
		}
		var b bytes.Buffer
		e := json.NewEncoder(&b)
		e.SetEscapeHTML(false)
		if err := e.Encode(cards); err != nil {
			return nil, fmt.Errorf("search index: writing cards: %w", err)
		}
		shards = append(shards, bytes.TrimSpace(b.Bytes()))
	}
	return shards, nil
}

func card(d *Doc, keys []string) []any {
	values := make([]any, 0, len(cardFields)+len(keys))
	values = append(values, d.URL, d.Title, d.Caption, d.Date, d.Thumb.Src, d.Thumb.Src2x, d.Thumb.Width, d.Thumb.Height, d.Thumb.Width2x,
		d.Thumb.Alt, tenths(d.WidthMM), tenths(d.HeightMM))
	for _, k := range keys {
		values = append(values, d.Data[k])
	}
	for n := len(values); n > 0; n-- {
		if v := values[n-1]; v != "" && v != 0 && v != 0.0 {
			break
		}
		values = values[:n-1]
	}
	return values
}

// tenths rounds a length in millimetres to a tenth, which is what a card shows.
func tenths(mm float64) float64 { return math.Round(mm*10) / 10 }
