package search_test

import (
	"fmt"
	"slices"

	"sandarac/archive/search"
)

func Example() {
	index, err := search.Build([]search.Doc{{
		URL: "plates/2026-014/", Title: "Wanda Weir, lock keeper", Caption: "Sixth plate on japanned iron", Date: "2026-06-14",
		Thumb:   search.Thumb{Src: "img/5f1e-320.jpg", Src2x: "img/5f1e-640.jpg", Width: 320, Height: 380, Alt: "A lock keeper with a windlass."},
		WidthMM: 70, HeightMM: 83,
		Fields: []search.Field{
			{Text: "Wanda Weir, lock keeper", Weight: 10},
			{Text: "hands windlass", Weight: 6},
			{Text: "north window", Weight: 3},
		},
		Facets: map[string][]string{"format": {"sixth"}, "year": {"2026"}, "tag": {"hands", "windlass"}},
		Data:   map[string]string{"format": "sixth", "support": "tinplate"},
		Sort:   "2026-06-14T11:20",
	}}, search.Options{})
	if err != nil {
		fmt.Println(err)
		return
	}
	var names []string
	for name := range index.Files {
		names = append(names, name)
	}
	slices.Sort(names)
	fmt.Println(len(names), "files;", string(index.Files[search.DirectoryName]))
	// Output:
	// 7 files; {"version":1,"documents":1,"terms":[["","582ab5d3"]],"endings":[["","2d80738c"]],"facets":{"format":"8caa2996","tag":"cfc76a8b","year":"e3e5e892"},"cards":{"shard":6,"group":16,"data":["format","support"],"hashes":"e0d780cd"}}
}
