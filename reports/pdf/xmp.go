package pdf

import (
	"encoding/xml"
	"strings"
	"time"
)

// xmp is the metadata packet of a document (ISO 16684-1), title, author,
// language and date only. No conformance to an archive form is claimed.
func xmp(m Meta) []byte {
	made := m.Made.UTC().Format(time.RFC3339)
	return []byte(`<?xpacket begin="` + "\ufeff" + `" id="W5M0MpCehiHzreSzNTczkc9d"?>
<x:xmpmeta xmlns:x="adobe:ns:meta/"><rdf:RDF xmlns:rdf="http://www.w3.org/1999/02/22-rdf-syntax-ns#">
<rdf:Description rdf:about="" xmlns:dc="http://purl.org/dc/elements/1.1/" xmlns:xmp="http://ns.adobe.com/xap/1.0/" xmlns:pdf="http://ns.adobe.com/pdf/1.3/">
<dc:title><rdf:Alt><rdf:li xml:lang="x-default">` + escaped(m.Title) + `</rdf:li></rdf:Alt></dc:title>
<dc:creator><rdf:Seq><rdf:li>` + escaped(m.Author) + `</rdf:li></rdf:Seq></dc:creator>
<dc:language><rdf:Bag><rdf:li>` + escaped(m.Language) + `</rdf:li></rdf:Bag></dc:language>
<xmp:CreateDate>` + made + `</xmp:CreateDate><xmp:ModifyDate>` + made + `</xmp:ModifyDate>
<pdf:Producer>Tracewright</pdf:Producer>
</rdf:Description></rdf:RDF></x:xmpmeta>
<?xpacket end="r"?>`)
}

func escaped(text string) string {
	var b strings.Builder
	// A Builder never fails.
	_ = xml.EscapeText(&b, []byte(text))
	return b.String()
}
