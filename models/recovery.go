package models

// RecoverySheet is what the sheet of a recovery key prints. It is never stored:
// who has it can open every backup.
type RecoverySheet struct {
	Shop   string   // empty where it has no name yet
	Made   string   // day, 2006-01-02
	Secret string   // as the QR code holds it
	Lines  []string // as somebody types it again
	Public string   // the half that the shop keeps
}
