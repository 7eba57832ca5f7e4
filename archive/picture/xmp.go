package picture

import (
	"bytes"
	"crypto/sha256"
	"encoding/xml"
	"errors"
	"strings"
	"unicode/utf8"
)

// xmpLimit is the longest packet that is written; a JPEG segment holds 65,533 bytes.
const xmpLimit = 65_000

// ErrRights says that the rights are too long to be written into a file.
var ErrRights = errors.New("credit, copyright and licence together are too long for a picture file: at most about 60,000 characters")

// xmpHeading starts the APP1 segment of a JPEG that holds XMP (XMP
// specification part 3, section 1.1.3).
const xmpHeading = "http://ns.adobe.com/xap/1.0/\x00"

// packet is the XMP packet of one derivative (ISO 16684-1) with the heading of
// its segment: rights and nothing else. The white space that XMP puts at the end of a packet spells the
// edition, so that files of different editions differ even if every pixel is
// the same.
func (r Rights) packet(edition string) ([]byte, error) {
	var b bytes.Buffer
	b.WriteString(xmpHeading)
	b.WriteString("<?xpacket begin=\"\ufeff\" id=\"W5M0MpCehiHzreSzNTczkc9d\"?>\n" +
		`<x:xmpmeta xmlns:x="adobe:ns:meta/"><rdf:RDF xmlns:rdf="http://www.w3.org/1999/02/22-rdf-syntax-ns#"><rdf:Description rdf:about=""` +
		` xmlns:dc="http://purl.org/dc/elements/1.1/"` +
		` xmlns:photoshop="http://ns.adobe.com/photoshop/1.0/"` +
		` xmlns:xmpRights="http://ns.adobe.com/xap/1.0/rights/">` + "\n")
	for _, p := range []struct{ before, value, after string }{
		{"<dc:creator><rdf:Seq><rdf:li>", r.Creator, "</rdf:li></rdf:Seq></dc:creator>\n"},
		{"<photoshop:Credit>", r.Credit, "</photoshop:Credit>\n"},
		{`<dc:rights><rdf:Alt><rdf:li xml:lang="x-default">`, r.Copyright, "</rdf:li></rdf:Alt></dc:rights>\n<xmpRights:Marked>True</xmpRights:Marked>\n"},
		{"<xmpRights:WebStatement>", r.LicenceURL, "</xmpRights:WebStatement>\n"},
	} {
		if p.value == "" {
			continue
		}
		b.WriteString(p.before)
		if err := xml.EscapeText(&b, []byte(clean(p.value))); err != nil {
			return nil, err
		}
		b.WriteString(p.after)
	}
	b.WriteString("</rdf:Description></rdf:RDF></x:xmpmeta>\n")
	b.Write(padding(edition))
	b.WriteString(`<?xpacket end="w"?>`)
	if b.Len() > xmpLimit {
		return nil, ErrRights
	}
	return b.Bytes(), nil
}

// clean makes text valid UTF-8 without control characters.
func clean(s string) string {
	return strings.Map(func(r rune) rune {
		if r < 0x20 || r == 0x7f || r == utf8.RuneError {
			return ' '
		}
		return r
	}, strings.ToValidUTF8(s, " "))
}

// padding is a line of 128 spaces and tabs from a sum over the edition.
func padding(edition string) []byte {
	sum := sha256.Sum256([]byte("sandarac edition\x00" + edition))
	out := make([]byte, 0, 129)
	for _, b := range sum[:16] {
		for bit := range 8 {
			out = append(out, " \t"[b>>bit&1])
		}
	}
	return append(out, '\n')
}
