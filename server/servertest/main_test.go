package servertest

import (
	"testing"

	"tracewright/models/store"
	"tracewright/models/store/storetest"
)

func TestMain(m *testing.M) { storetest.Main(m) }

// openSQLite is a database for tests that no difference of databases can reach.
func openSQLite(t *testing.T) *store.Store { return storetest.New(t) }
