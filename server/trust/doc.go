// Package trust lets a server speak TLS in a workshop that has no authority to
// ask: it makes one, for this host alone, and a server certificate under it.
//
// A tablet trusts the authority once, by hand. After that everything happens
// here: the server certificate is made anew before it ends and when the host's
// names or addresses change, and the tablet notices nothing. The authority may
// vouch for this host's names and for private addresses only (name constraints,
// RFC 5280, 4.2.1.10), so that whoever takes its key away cannot speak for the
// rest of the world to a tablet that trusts it.
//
// The package also reads certificates of the shop's own, anew when their files
// change, and lets plain HTTP and TLS arrive at one port, so that a tablet can
// fetch the authority's certificate before it trusts it.
//
// It does not say that the certificate a tablet fetched is the right one: a
// person does, by comparing the fingerprint with the console.
package trust
