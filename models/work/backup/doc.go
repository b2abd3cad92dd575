// Package backup sees to it that what the shop knows is not lost with its disk:
// when a backup is made, which of the old ones are kept, when the last good one
// was made, and what has to be done after one was put back.
//
// It knows no file: a [Place] makes backups and holds them. One that this
// program makes by itself is made once a day, in a quiet hour of the shop's zone,
// or as soon as the last is a day old. What goes wrong is told, and stops nothing.
//
// A backup that was made was also checked: the copy of the database for pages
// that contradict one another before it was packed, and the file for holding what
// was put in after it was written. Whether the records in it are those the trail
// speaks of takes the recovery key, which is not here: "backup --check" looks.
package backup
