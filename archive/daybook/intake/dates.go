package intake

import (
	"fmt"
	"regexp"
	"strconv"
	"strings"
	"time"

	"sandarac/archive/daybook"
	"sandarac/archive/record"
)

// Orders of a date in numbers.
const (
	DayFirst   = "day-first"
	MonthFirst = "month-first"
)

// Systems of day numbers, as spreadsheets keep dates.
const (
	Serial1900 = "1900"
	Serial1904 = "1904"
)

var (
	isoDate     = regexp.MustCompile(`^(\d{4})[-/.](\d{1,2})[-/.](\d{1,2})$`)
	packedDate  = regexp.MustCompile(`^(18|19|20|21)(\d{2})(\d{2})(\d{2})$`)
	numericDate = regexp.MustCompile(`^(\d{1,2})\s*[-/.]\s*(\d{1,2})\s*[-/.]\s*(\d{4}|\d{2})$`)
	dayMonth    = regexp.MustCompile(`^(\d{1,2})(?:st|nd|rd|th)?\.?[-\s]*([\p{L}]{3,12})\.?,?[-\s]*(\d{4}|\d{2})$`)
	monthDay    = regexp.MustCompile(`^([\p{L}]{3,12})\.?\s*(\d{1,2})(?:st|nd|rd|th)?,?\s+(\d{4}|\d{2})$`)
	serialDate  = regexp.MustCompile(`^\d{5}$`)
	weekday     = regexp.MustCompile(`^(?i)(?:mon|tue|wed|thu|fri|sat|sun|mo|di|mi|do|fr|sa|so)[\p{L}]*[.,]*\s+`)
	timeOfDay   = regexp.MustCompile(`^(?i)(\d{1,2})(?:[:.h](\d{2}))?(?:[:.](\d{2}))?\s*(am|pm|a\.m\.|p\.m\.|uhr|h)?$`)
	dateAndTime = regexp.MustCompile(`^(.*\d)[T\s,]+(\d{1,2}[:.h]\d{2}(?:[:.]\d{2})?\s*(?i:am|pm|a\.m\.|p\.m\.|uhr)?)$`)
)

var months = map[string]time.Month{
	"jan": 1, "feb": 2, "mar": 3, "mär": 3, "mrz": 3, "apr": 4, "may": 5, "mai": 5, "jun": 6, "jul": 7, "aug": 8, "sep": 9, "oct": 10, "okt": 10, "nov": 11, "dec": 12, "dez": 12,
}

// longMonths hold a word to the month it begins like.
var longMonths = map[string]bool{
	"january": true, "januar": true, "jänner": true, "february": true, "februar": true, "march": true, "märz": true, "april": true, "may": true, "mai": true, "june": true, "juni": true,
	"july": true, "juli": true, "august": true, "september": true, "sept": true, "october": true, "oktober": true, "november": true, "december": true, "dezember": true,
}

func monthNamed(word string) (time.Month, bool) {
	low := strings.ToLower(word)
	r := []rune(low)
	m, ok := months[string(r[:min(3, len(r))])]
	return m, ok && (len(r) == 3 || longMonths[low])
}

// date reads a day. What can be meant in two ways is an error that asks.
func (m *Mapping) date(cell string, today record.Date) (record.Date, error) {
	s := strings.Join(strings.Fields(cell), " ")
	s = weekday.ReplaceAllString(s, "")
	if p := isoDate.FindStringSubmatch(s); p != nil {
		return dayOf(cell, p[1], p[2], p[3], today)
	}
	if p := packedDate.FindStringSubmatch(s); p != nil {
		return dayOf(cell, p[1]+p[2], p[3], p[4], today)
	}
	if p := dayMonth.FindStringSubmatch(s); p != nil {
		if month, ok := monthNamed(p[2]); ok {
			return dayOf(cell, p[3], strconv.Itoa(int(month)), p[1], today)
		}
	}
	if p := monthDay.FindStringSubmatch(s); p != nil {
		if month, ok := monthNamed(p[1]); ok {
			return dayOf(cell, p[3], strconv.Itoa(int(month)), p[2], today)
		}
	}
	if p := numericDate.FindStringSubmatch(s); p != nil {
		return m.numeric(cell, p[1], p[2], p[3], today)
	}
	if serialDate.MatchString(s) {
		return m.serial(s)
	}
	return record.Date{}, fmt.Errorf("“%s” is not a date that can be read", daybook.Clip(cell))
}

func (m *Mapping) numeric(cell, a, b, year string, today record.Date) (record.Date, error) {
	switch {
	case m.Dates == DayFirst, a == b && m.Dates == "":
		return dayOf(cell, year, b, a, today)
	case m.Dates == MonthFirst:
		return dayOf(cell, year, a, b, today)
	}
	return record.Date{}, fmt.Errorf("“%s” can be read in two ways: write dates: %s or %s in the mapping", daybook.Clip(cell), DayFirst, MonthFirst)
}

// serial reads a spreadsheet's day number. The system of 1900 counts a 29
// February 1900 that never was, so its day 60 is left out by counting from 30
// December 1899; photography of today lies after it.
func (m *Mapping) serial(s string) (record.Date, error) {
	n, err := strconv.Atoi(s)
	if err != nil {
		return record.Date{}, err
	}
	switch m.Serials {
	case Serial1900:
		return record.Date{Year: 1899, Month: 12, Day: 30}.AddDays(n), nil
	case Serial1904:
		return record.Date{Year: 1904, Month: 1, Day: 1}.AddDays(n), nil
	}
	return record.Date{}, fmt.Errorf("“%s” is a spreadsheet's day number: write serials: %s or %s in the mapping", s, Serial1900, Serial1904)
}

// dayOf makes a day of numbers. Two digits of a year are taken as the year not
// after the next one.
func dayOf(cell, year, month, day string, today record.Date) (record.Date, error) {
	y, _ := strconv.Atoi(year) // digits, by the expressions
	mo, _ := strconv.Atoi(month)
	d, _ := strconv.Atoi(day)
	if len(year) == 2 {
		y += 2000
		if y > today.Year+1 {
			y -= 100
		}
	}
	out, err := record.ParseDate(fmt.Sprintf("%04d-%02d-%02d", y, mo, d))
	if err != nil || y < 1839 || y > 2200 {
		return record.Date{}, fmt.Errorf("“%s” is not a day of the calendar", daybook.Clip(cell))
	}
	return out, nil
}

// clock reads a time of day as HH:MM or HH:MM:SS.
func clock(cell string) (string, error) {
	s := strings.Join(strings.Fields(cell), " ")
	p := timeOfDay.FindStringSubmatch(s)
	bad := fmt.Errorf("“%s” is not a time of day", daybook.Clip(cell))
	if p == nil || p[2] == "" && p[4] == "" {
		return "", bad
	}
	h, _ := strconv.Atoi(p[1]) // digits, by the expression
	half := strings.ReplaceAll(strings.ToLower(p[4]), ".", "")
	if half == "am" || half == "pm" {
		if h < 1 || h > 12 {
			return "", bad
		}
		h %= 12
		if half == "pm" {
			h += 12
		}
	}
	minute, second := first(p[2], "00"), first(p[3], "00")
	if h > 23 || minute > "59" || second > "59" {
		return "", bad
	}
	if second == "00" {
		return fmt.Sprintf("%02d:%s", h, minute), nil
	}
	return fmt.Sprintf("%02d:%s:%s", h, minute, second), nil
}

// moment reads a date with or without a time, as records hold it.
func (m *Mapping) moment(cell string, zone *time.Location, today record.Date) (string, error) {
	s := strings.TrimSpace(cell)
	if t, timed, err := daybook.ParseMoment(s, zone); err == nil {
		return daybook.FormatMoment(t, timed), nil
	}
	if p := dateAndTime.FindStringSubmatch(s); p != nil {
		day, err := m.date(strings.TrimRight(p[1], " ,"), today)
		if err != nil {
			return "", err
		}
		at, err := clock(p[2])
		if err != nil {
			return "", err
		}
		if at == "00:00" {
			return day.String(), nil // a spreadsheet's way of saying no time
		}
		return day.String() + "T" + at, nil
	}
	day, err := m.date(s, today)
	return day.String(), err
}

// orderOf judges by all dates of a table which number is the day; "" if nothing
// tells. The example is the text that told, or the one that is open.
func orderOf(cells []string) (order, example string) {
	day, month, open := "", "", ""
	for _, c := range cells {
		s := strings.Join(strings.Fields(c), " ")
		if p := dateAndTime.FindStringSubmatch(s); p != nil {
			s = strings.TrimRight(p[1], " ,")
		}
		p := numericDate.FindStringSubmatch(weekday.ReplaceAllString(s, ""))
		if p == nil {
			continue
		}
		a, _ := strconv.Atoi(p[1]) // digits, by the expression
		b, _ := strconv.Atoi(p[2])
		switch {
		case a > 12 && b <= 12:
			day = first(day, c)
		case b > 12 && a <= 12:
			month = first(month, c)
		case a != b && a <= 12 && b <= 12:
			open = first(open, c)
		}
	}
	switch {
	case day != "" && month == "":
		return DayFirst, day
	case month != "" && day == "":
		return MonthFirst, month
	case day != "":
		return "", day + " and " + month
	}
	return "", open
}
