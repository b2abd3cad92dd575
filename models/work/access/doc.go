// Package access decides who somebody is: passwords in the office, enrolled
// devices on the floor, PINs where a signature would stand, and one-time links
// for those who have no password yet.
//
// It believes that a stand is used by several people with dirty hands. There
// the device proves itself by its key and a person is chosen by one tap; a PIN
// confirms what cannot be taken back, and it is accepted at an enrolled device
// alone, because four digits are soon guessed by anyone who may try for ever.
// What a role may do is not decided here but in the one table of models.
//
// Secrets are kept as argon2id hashes (RFC 9106), device keys and link tokens,
// which are random and long, as SHA-256. Nothing here logs or returns a secret
// after it was made.
package access
