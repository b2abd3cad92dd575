package store
type fixedRecords struct{}
