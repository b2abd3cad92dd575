// Package ident makes and reads the serial numbers of the shop.
//
// It believes that a serial is copied by tired people with cold hands: so it is
// short, leaves out the letters that look like digits, carries a check
// character, and is read forgivingly ([Normalise]) but never guessed. A serial
// holds its kind and year and no other meaning; it is never reused, and a
// rebuilt wheel keeps its own.
//
// Nine characters: the kind, two digits of the year, five Crockford Base32
// digits of a counter, and a check character by ISO/IEC 7064 MOD 37,36 over the
// first eight. Printed in three groups: W26-00005-1. The check can come out as
// I, L, O or U; such a counter value is passed over at allocation, so that the
// forgiving reading of I and L as 1 and of O as 0 is safe in every place.
//
// Start with [Next] to hand out a serial and [Normalise] to read one. Serials
// of the makers of motors and blocks are theirs and stay as they are.
package ident
