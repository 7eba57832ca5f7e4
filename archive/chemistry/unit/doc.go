// Package unit reads the amounts of the old recipe books and turns them into
// grams and millilitres, exactly.
//
// In goes text such as "8 gr/fl oz US", "2½ dr", "240 gr in 8 fl oz imp" or
// "9 % w/v"; out comes an Amount: a mass or a volume, absolute or for a volume
// of the finished mixture. An ounce that could be four things, a fluid drachm,
// minim or pint that could be two, is not guessed: Parse returns an *Ask with
// the question and what may be written instead.
//
// Every factor follows from four exact definitions: the grain of 64.79891 mg
// and the avoirdupois pound of 7000 grains (0.45359237 kg), the US gallon of
// 231 cubic inches of 2.54 cm, and the imperial gallon of 4.54609 litres.
// Sources: NIST Handbook 44, appendix C; UK Weights and Measures Act 1985,
// schedule 1 (both cited from memory).
package unit
