// Package keyring keeps the keys that seals are signed by in a folder beside the
// database, and copies of checkpoints in one outside it. It knows files and
// nothing of the shop.
//
// A private key is an Ed25519 key in PKCS #8 (RFC 8410), PEM, readable by its
// owner alone: one that others can read is refused, since what it signs proves
// nothing. Beside it lies its public half, 64 digits of hex in a file of its own,
// for whoever verifies. A file named "log" says which log the keys are for.
package keyring
