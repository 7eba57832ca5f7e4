// Package search turns documents into an index that a browser can query from
// any static host, reading only the few kilobytes a query needs.
//
// In: documents, each with weighted text, facet values and what its result
// card shows. Out: files. The package decides no visibility: whatever is put
// in can be read back by anyone who has the files. It refuses documents that
// could not be told apart, addresses that leave the site and names the script
// could not use, each with the document it was found in. The same documents in
// any order give the same bytes.
//
// # Files
//
// directory.json has a stable name and is read first. All other files are
// named after their content, are gzip members (RFC 1952) with the extension
// .bin, and are meant to be served as they are, without a Content-Encoding.
// Numbers are unsigned LEB128 ("uvarint"); strings are UTF-8.
//
//	directory.json     {"version":1, "documents":N,
//	                    "terms":   [[first, hash], …],     t<i>-<hash>.bin
//	                    "endings": [[first, hash], …],     e<i>-<hash>.bin
//	                    "facets":  {name: hash, …},        f-<name>-<hash>.bin
//	                    "cards":   {"shard":S, "group":G, "data":[key, …],
//	                                "hashes": hex…}}       c<i>-<hash>.bin
//
// Documents are numbered from the last in result order (0) to the first
// (N-1), so that a new plate at the head of the catalogue leaves the numbers,
// and with them the card files, of all the others as they were.
//
// A term file holds the terms from its "first" up to the next file's:
//
//	'T', count, count × (shared, length, length bytes, size), postings
//
// The term is the first shared bytes of the term before it and the bytes that
// follow (front coding; Witten, Moffat and Bell, Managing Gigabytes, chapter 4,
// cited from memory). Its postings are the next size bytes of the postings:
// groups of documents of one weight, heaviest first, each a byte
// weight<<2 | coding and a list of document numbers, ascending, in the shortest
// of three codings:
//
//	0 gaps    count, first number, then each number's distance from the last less 1
//	1 runs    count, then (numbers skipped since the last run, length less 1)
//	2 bitmap  first byte's place, count of bytes, bytes, lowest bit first
//
// An ending file holds the same terms spelt backwards, without postings, for
// finding a word whose beginning is mistyped: 'E', count, count × (shared,
// length, bytes). Terms with a digit or under four letters are not in it,
// since they are never taken for a misspelling.
//
// A facet file gives the values of each document: 'F', count of values, count
// × (length, bytes), N, kind, and then, by kind, 1: N bytes, 0 for no value or
// the value's place plus 1; 2: the same in two bytes, low byte first; 3: N
// bytes, how many values, and then the places of all of them in turn.
//
// A card file is a JSON array of the cards of S documents, each an array in
// the order of cardFields, then the values of the data keys, cut after the
// last that is not empty. A group of G card files shares the hash of their
// joint content; "hashes" has eight hex digits a group.
//
// # Matching
//
// Text and queries are folded alike (see Fold) and cut into words. A query
// word matches a term that equals it, or that begins with it if the word has
// two letters or more. Misspellings are forgiven in words of five letters or
// more without a digit: then the word also matches terms one edit away, a
// letter added, left out, replaced, or two neighbours swapped (restricted
// Damerau-Levenshtein distance 1). That is done for each word that matches
// nothing as it is written, and, if still no document has all the words, for
// every word. All words must match. A document's score is the sum over the
// words of weight × 4 (equal), 2 (beginning) or 1 (one edit away), the best of
// the terms it matches by. Higher scores come first, then the order of the
// documents. Only the first 16 different words of a query count.
//
// Within one facet a document may have any of the chosen values; the facets
// must all be met.
//
// It is the only package that imports golang.org/x/text/unicode/norm for
// searching; it imports none of ours.
package search
