package nonconforming_test

import (
	"testing"

	"tracewright/models/store/storetest"
)

func TestMain(m *testing.M) { storetest.Main(m) }
