package unit_test

import (
	"fmt"

	"sandarac/archive/chemistry/unit"
)

func ExampleParse() {
	for _, text := range []string{"8 gr/fl oz US", "5 dr in 10 fl oz imp", "1 oz"} {
		a, err := unit.Parse(text)
		if err != nil {
			fmt.Println(err)
			continue
		}
		fmt.Println(text, "is", a)
	}
	// Output:
	// 8 gr/fl oz US is 1.75 g/100 ml
	// 5 dr in 10 fl oz imp is 6.84 g/100 ml
	// "1 oz": which ounce is meant? write "fl oz US" (29.57 ml), "fl oz imp" (28.41 ml), "oz av" (28.35 g) or "oz ap" (31.10 g)
}
