// Package backups keeps a backup as one file. It knows files and nothing of the
// shop or its database, which come in as parts.
//
// A file is a line of JSON in the clear, the [Header], and behind it the body: a
// tar, compressed by gzip, encrypted by age (age-encryption.org/v1, X25519) to
// the shop's recovery key. So whoever has the key can open it without this
// program:
//
//	tail -n +2 FILE | age -d -i KEYFILE | gunzip | tar x
//
// In the tar the header lies first, once more, so that a changed line in the
// clear is found out; then each part; last the [Manifest], with the SHA-256 of
// every part. A file that ends early lacks it, and age tells of the missing end
// and of each changed byte before that.
//
// age hides and protects, and names no sender: the recovery key's public half
// is no secret, so that anybody who has it can write a file that opens. Whether
// the records in it are the shop's is told by the trail in them, against keys
// and checkpoints that lie elsewhere.
//
// A shop without a recovery key gets plain files, in the same form without the
// encryption and without private keys, for a folder that is as well kept as the
// database itself.
//
// A file is written beside its name and renamed when all of it has reached the
// disk: under the good name lies a whole backup or nothing.
package backups
