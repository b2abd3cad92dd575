package main

import (
	"testing"

	"tracewright/models/store/storetest"
)

func TestMain(m *testing.M) { storetest.Main(m, forgetAsked) }
