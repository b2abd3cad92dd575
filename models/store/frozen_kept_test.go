package store

import (
	"path/filepath"
	"testing"
)

// A long look lets go of each statement once it is answered, however many texts it
// asks: those of a transaction of its own were held to its end, a gigabyte of them
// where a million records were verified.
func TestALongLookHoldsNoStatements(t *testing.T) {
	s, err := Open(t.Context(), "sqlite:"+filepath.Join(t.TempDir(), "shop.db"), Options{Readers: 1})
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	if _, err := s.Migrate(t.Context()); err != nil {
		t.Fatal(err)
	}
	var only *keepingConn // the one reading connection
	conn, err := s.reader.Conn(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	err = conn.Raw(func(c any) error {
		only = c.(*keepingConn)
		return nil
	})
	conn.Close()
	if err != nil {
		t.Fatal(err)
	}
	const texts = 50
	err = s.Freeze(t.Context(), func(f *Frozen) error {
		asked, subjects := only.asked, []string{}
		for range texts {
			subjects = append(subjects, "W26000051")
			if _, err := f.Entries(subjects); err != nil {
				return err
			}
		}
		held := 0
		for _, stmt := range only.kept {
			if stmt.busy {
				held++
			}
		}
		if only.asked < asked+texts || held > 1 {
			t.Errorf("after %d texts, of which the connection saw %d, %d statements are held", texts, only.asked-asked, held)
		}
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
}
