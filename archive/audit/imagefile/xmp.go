package imagefile

import (
	"bytes"
	"encoding/xml"
	"errors"
	"io"
	"strings"
)

const rdf = "http://www.w3.org/1999/02/22-rdf-syntax-ns#"

// prefixes are the namespaces of what a published file may say (IPTC Photo
// Metadata Standard 2025.1; PLUS), with their usual prefixes.
var prefixes = map[string]string{
	"http://purl.org/dc/elements/1.1/":     "dc",
	"http://ns.adobe.com/photoshop/1.0/":   "photoshop",
	"http://ns.adobe.com/xap/1.0/rights/":  "xmpRights",
	"http://ns.useplus.org/ldf/xmp/1.0/":   "plus",
	"adobe:ns:meta/":                       "x",
	rdf:                                    "rdf",
	"http://www.w3.org/XML/1998/namespace": "xml",
}

// allowed is all that a published file may say: whose it is and on what terms.
var allowed = map[string]bool{
	"dc:creator": true, "dc:rights": true, "photoshop:Credit": true, "xmpRights:Marked": true, "xmpRights:WebStatement": true,
	"plus:Licensor": true, "plus:LicensorURL": true, "plus:LicensorName": true,
}

// frame are the elements and attributes that only hold others together.
var frame = map[string]bool{
	"x:xmpmeta": true, "rdf:RDF": true, "rdf:Description": true, "rdf:Seq": true, "rdf:Bag": true, "rdf:Alt": true, "rdf:li": true,
}

// xmp reads a packet (ISO 16684-1). Anything not allowed is a fault: a property,
// an attribute, a comment, words behind the packet.
func (r *Report) xmp(packet []byte) {
	d := xml.NewDecoder(bytes.NewReader(packet))
	d.Entity = map[string]string{}
	var names []string
	var value strings.Builder
	for {
		token, err := d.Token()
		if errors.Is(err, io.EOF) {
			break
		}
		if err != nil {
			r.fault("its XMP packet cannot be read: %v", err)
			return
		}
		switch t := token.(type) {
		case xml.StartElement:
			name := qualified(t.Name)
			names = append(names, name)
			value.Reset()
			if !frame[name] && !allowed[name] {
				r.fault("its XMP says %s", name)
			}
			for _, a := range t.Attr {
				r.attribute(a)
			}
		case xml.EndElement:
			r.property(names, value.String())
			value.Reset()
			names = names[:len(names)-1]
		case xml.CharData:
			value.Write(t)
			if len(names) == 0 && len(bytes.TrimSpace(t)) > 0 && string(t) != "\ufeff" {
				r.fault("words stand outside its XMP")
			}
		case xml.ProcInst:
			if t.Target != "xpacket" || len(t.Inst) > 80 {
				r.fault("its XMP holds an instruction %q", t.Target)
			}
		default:
			r.fault("its XMP holds a comment or a declaration")
		}
	}
}

// property notes the value of the innermost named element.
func (r *Report) property(names []string, value string) {
	value = strings.TrimSpace(value)
	if value == "" {
		return
	}
	for i := len(names) - 1; i >= 0; i-- {
		if !frame[names[i]] {
			r.Rights = append(r.Rights, Property{names[i], value})
			return
		}
	}
	r.fault("words stand in its XMP outside any property")
}

// attribute judges an attribute: namespaces, the language, an empty rdf:about, or
// an allowed property written as one.
func (r *Report) attribute(a xml.Attr) {
	name := qualified(a.Name)
	switch {
	case a.Name.Space == "xmlns" || name == "xmlns":
		if prefixes[a.Value] == "" {
			r.fault("its XMP uses the namespace %q", a.Value)
		}
	case name == "xml:lang" && len(a.Value) <= 16, name == "rdf:about" && a.Value == "", name == "rdf:parseType":
	case name == "rdf:resource" || allowed[name]:
		r.Rights = append(r.Rights, Property{name, a.Value})
	default:
		r.fault("its XMP says %s", name)
	}
}

func qualified(name xml.Name) string {
	if name.Space == "" {
		return name.Local
	}
	if prefix := prefixes[name.Space]; prefix != "" {
		return prefix + ":" + name.Local
	}
	return name.Space + " " + name.Local
}
