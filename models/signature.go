package models

// SealedLog names the newest checkpoint of the log of changes: what was signed
// of it when something was made that points at it.
type SealedLog struct {
	LogID   string `json:"id"`
	Size    int64  `json:"size"` // entries that the checkpoint covers
	Root    string `json:"root"` // Merkle root over them, hexadecimal
	Waiting bool   `json:"waiting,omitempty"`
}

// Signature is an Ed25519 signature, hexadecimal, with the id of its key.
type Signature struct {
	KeyID string `json:"key"`
	Value string `json:"signature"`
}
