package pdf

import (
	"bytes"
	"errors"
	"fmt"
	"strconv"
)

// errCatalog says that a file does not end as gofpdf ends one.
var errCatalog = errors.New("no catalog after metadata at the end of the file")

// withCatalog adds to a file what gofpdf leaves out of its catalog (ISO 32000-1, 7.7.2):
// where the metadata are, the language, and that readers show the title. The catalog is
// the last object, and metadata stand two before it: what grows there moves the table of
// places alone, and so only the place that is named of that.
func withCatalog(out []byte, language string) ([]byte, error) {
	at := bytes.LastIndex(out, []byte("\n/Type /Catalog\n"))
	end := bytes.LastIndex(out, []byte("\nstartxref\n"))
	if at < 0 || end < at {
		return nil, errCatalog
	}
	place, err := strconv.Atoi(string(bytes.TrimSuffix(out[end+len("\nstartxref\n"):], []byte("\n%%EOF\n"))))
	if err != nil || place < at || place > end {
		return nil, errCatalog
	}
	var root int
	if _, err := fmt.Sscanf(string(out[bytes.LastIndex(out[:at], []byte("endobj\n"))+len("endobj\n"):at]), "%d 0 obj", &root); err != nil {
		return nil, errCatalog
	}
	if !bytes.Contains(out, fmt.Appendf(nil, "endobj\n%d 0 obj\n<< /Type /Metadata /Subtype /XML ", root-2)) {
		return nil, errCatalog
	}
	added := fmt.Sprintf("\n/Metadata %d 0 R\n/Lang (%s)\n/ViewerPreferences <</DisplayDocTitle true>>", root-2, language)
	grown := make([]byte, 0, len(out)+len(added)+8)
	grown = append(append(append(grown, out[:at]...), added...), out[at:end]...)
	return fmt.Appendf(grown, "\nstartxref\n%d\n%%%%EOF\n", place+len(added)), nil
}
