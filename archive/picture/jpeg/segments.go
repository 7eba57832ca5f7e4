package jpeg

import "encoding/binary"

// writer writes segments and entropy-coded bits.
type writer struct {
	out  []byte
	next uint64 // bits not yet written, right-aligned
	have uint
}

// head writes everything before the entropy-coded bits.
func (w *writer) head(width, height int, e *encoder, tables [4]*table, o Options) error {
	w.out = append(w.out, 0xFF, 0xD8)
	for _, body := range o.App1 {
		if len(body) > 65533 {
			return ErrPicture
		}
		w.segment(0xE1, body)
	}
	for i := range min(2, len(e.parts)) {
		body := []byte{byte(i)}
		for _, n := range zigzag {
			body = append(body, e.quant[i].table[n])
		}
		w.segment(0xDB, body)
	}
	frame := []byte{8, byte(height >> 8), byte(height), byte(width >> 8), byte(width), byte(len(e.parts))}
	scan := []byte{byte(len(e.parts))}
	for i := range e.parts {
		sampling, set := byte(0x11), byte(min(i, 1))
		if i == 0 && len(e.parts) > 1 {
			sampling = 0x22
		}
		frame = append(frame, byte(i+1), sampling, set)
		scan = append(scan, byte(i+1), set<<4|set)
	}
	w.segment(0xC0, frame)
	for i, t := range tables {
		if t == nil {
			continue
		}
		body := []byte{byte(i%2<<4 | i/2)} // class (DC, AC) and number
		for _, n := range t.counts[1:] {
			body = append(body, byte(n))
		}
		w.segment(0xC4, append(body, t.symbols...))
	}
	w.segment(0xDA, append(scan, 0, 63, 0))
	return nil
}

func (w *writer) segment(marker byte, body []byte) {
	w.out = append(w.out, 0xFF, marker)
	w.out = binary.BigEndian.AppendUint16(w.out, uint16(len(body)+2))
	w.out = append(w.out, body...)
}

// entropy writes the tokens, padded with ones.
func (w *writer) entropy(tokens []token, tables [4]*table) {
	for _, t := range tokens {
		symbol := t >> 16 & 0xFF
		table := tables[t>>24]
		size := uint(symbol & 15)
		w.next = w.next<<(uint(table.length[symbol])+size) | uint64(table.code[symbol])<<size | uint64(t&0xFFFF)
		if w.have += uint(table.length[symbol]) + size; w.have >= 32 {
			w.flush()
		}
	}
	if rest := w.have % 8; rest > 0 {
		w.next = w.next<<(8-rest) | (1<<(8-rest) - 1)
		w.have += 8 - rest
	}
	w.flush()
}

// flush writes whole bytes, a zero after each 0xFF.
func (w *writer) flush() {
	if w.have >= 32 {
		v := uint32(w.next >> (w.have - 32))
		if y := ^v; (y-0x01010101)&^y&0x80808080 == 0 { // no byte is 0xFF
			w.out = binary.BigEndian.AppendUint32(w.out, v)
			w.have -= 32
			return
		}
	}
	for ; w.have >= 8; w.have -= 8 {
		b := byte(w.next >> (w.have - 8))
		if w.out = append(w.out, b); b == 0xFF {
			w.out = append(w.out, 0)
		}
	}
}
