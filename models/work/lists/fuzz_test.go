package lists_test

import (
	"testing"

	"tracewright/models/store/storetest"
	"tracewright/models/work/lists"
	"tracewright/models/work/worktest"
)

// Whatever bytes come as a list of any kind: it is looked at to its end, and either
// something is wrong with it or it says what it would bring.
func FuzzTry(f *testing.F) {
	var kinds []string
	for _, k := range lists.Kinds() {
		if k.In != "" {
			kinds = append(kinds, k.Name)
		}
	}
	for i := range kinds {
		for _, s := range []string{"code,material,quantity\nL-1,spokes,5\n", "serial;product;made on\nW31000015;wheel one;05.03.2026\n", "item,role,lot,quantity\nW31000015,spokes_a,L-1,18\n", "name,contact\n\"a\nb\",\n", "\ufeffcode\tmaterial\n=1\t@x\n", "\xff\xfe", ""} {
			f.Add(uint8(i), []byte(s))
		}
	}
	d := at(worktest.On(f, storetest.New(f)), "")
	f.Fuzz(func(t *testing.T, n uint8, raw []byte) {
		kind := kinds[int(n)%len(kinds)]
		report, err := d.s.Try(t.Context(), d.Owner, kind, raw)
		if err != nil {
			t.Fatalf("%s %q: %v", kind, raw, err)
		}
		if len(report.Problems) == 0 && len(raw) == 0 {
			t.Errorf("%s: nothing at all is a list", kind)
		}
	})
}
