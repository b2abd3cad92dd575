// Package packing draws the list that lies in the box: what is in it, serial by
// serial with the certificate of each, small parts by number, and what went by
// concession.
//
// It is drawn from what it is given and knows no database and no clock.
package packing
