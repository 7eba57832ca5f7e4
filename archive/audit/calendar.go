package audit

import "strings"

// calendar are the names of months and days in the sites' languages (English and
// German), folded. Pages are full of them, and some are given names.
var calendar = func() map[string]bool {
	m := map[string]bool{}
	for w := range strings.FieldsSeq(`
		january february march april may june july august september october november december
		jan feb mar apr jun jul aug sep sept oct nov dec
		januar februar marz maerz mai juni juli oktober dezember janner jaenner feber
		monday tuesday wednesday thursday friday saturday sunday
		montag dienstag mittwoch donnerstag freitag samstag sonnabend sonntag`) {
		m[w] = true
	}
	return m
}()

func allCalendar(words []string) bool {
	for _, w := range words {
		if !calendar[w] {
			return false
		}
	}
	return true
}
