package words

// enDoctor say what the doctor found, and what to do.
var enDoctor = map[string]string{
	"doctor_not_looked": "This could not be looked at: {cause}",

	"doctor_disk":        "{free} are free at {folder}.",
	"doctor_disk_low":    "Only {free} are free at {folder}; {wants} are wanted, for the records of some months and for a copy while a backup is made. Make room, or move the database to a larger disk.",
	"doctor_disk_full":   "The disk at {folder} is all but full, with {free} free: make room at once, or recording stops and no backup can be made.",
	"doctor_disk_untold": "How much room is left at {folder} is not told on this system.",
	"doctor_no_folder":   "The folder {folder} is not there: look at the path, or put the disk back.",
	"doctor_elsewhere":   "The folder {folder} lies on another machine. SQLite needs a disk of this one, or records may be damaged: move the database, and let only backups go there.",

	"doctor_clock":        "The clock says {when}, and no record is dated after that.",
	"doctor_clock_lost":   "The clock says {when}, which is before this program was made: set it, and let a time server keep it.",
	"doctor_clock_alone":  "Nothing keeps the clock of this machine right: turn on a time service, as timedatectl set-ntp true does.",
	"doctor_clock_behind": "The newest record is dated {when}, {value} after now: the clock stands behind, or stood ahead when that was recorded. Set it before anybody goes on.",
	"doctor_clocks_apart": "The clock of the database’s machine and that of this one are {value} apart: let one time server keep both.",
	"doctor_zone_unset":   "The shop has no time zone, and its days are counted in UTC: set it on the page The shop.",
	"doctor_zone_unknown": "The time zone {zone} is not known here: set another on the page The shop.",

	"doctor_database":     "{kind}, schema {n}, {size}; its pages agree with one another.",
	"doctor_unreachable":  "The database cannot be opened: {cause}. Look whether it runs and whether this account may use it.",
	"doctor_schema_newer": "The database is of a newer version of this program (schema {n}, and this program knows {most}): use that version.",
	"doctor_schema_older": "The database is of an older version of this program (schema {n} of {most}): start the server, or run tracewright migrate up; both make a backup first.",
	"doctor_damaged":      "Pages of the database contradict one another ({cause}): stop the server, keep a copy of all its files, and put back the last good backup elsewhere.",
	"doctor_journal":      "The file keeps its changes by {kind} and not by a write-ahead log, so that readers and writers wait for each other: move it to a disk of this machine.",
	"doctor_unsafe":       "PostgreSQL is set so that what was acknowledged can be lost: turn on {names}.",
	"doctor_encoding":     "The database holds text as {kind}: make one with the encoding UTF8 and put a backup back into it.",
	"doctor_postgres_old": "PostgreSQL {kind} is older than version {least}, the oldest that is tried: bring it up to date.",
	"doctor_connections":  "PostgreSQL gives {n} connections to everybody, and this server alone may take {most}: raise max_connections, or name fewer by pool_max_conns in the address.",

	"doctor_backups":           "The last good backup is of {date}, {value} old, in {folder}.",
	"doctor_backups_elsewhere": "This server makes no backups; whoever makes them knows how old the last is.",
	"doctor_backup_gone":       "The last backup that the server made, {file}, is not there, or not of the size that it had: look who else writes into that folder, and make one now: tracewright backup --backups {folder}.",
	"doctor_no_backup":         "There is no backup yet: run tracewright backup, or leave the server on for a night.",
	"doctor_no_recovery_key":   "There is no recovery key, so that backups lie in the clear and without private keys: make one under Backups in the menu or by tracewright backup --new-key, and print it.",

	"doctor_keys":            "The keys in {folder} are their owner’s alone, and the log of changes knows the one that signs.",
	"doctor_keys_known":      "The log of changes knows the key in {folder} that signs. Who else can read the files there is not told on this system: give the folder to the account that serves alone.",
	"doctor_keys_unnamed":    "Where the keys lie is not known: name their folder with --keys.",
	"doctor_no_keys":         "The folder of keys, {folder}, is not there: name it with --keys, or put it back from a backup. The first start of a new shop makes it.",
	"doctor_keys_unreadable": "The keys in {folder} cannot be used: {cause}",
	"doctor_keys_of_another": "The keys in {folder} are for the log of another database: name this one’s with --keys.",
	"doctor_no_key_signs":    "No key in {folder} may sign for this log: put the folder back from a backup, or enrol its key by tracewright keys enrol.",
	"doctor_log_not_begun":   "The log of changes has not begun: the first start of the server begins it.",
	"doctor_checkpoints":     "The folder for copies of checkpoints, {folder}, is gone or cannot be written: put the disk back, or name another with --checkpoints.",

	"doctor_certificate":             "The certificate is good until {date}, for {days} days.",
	"doctor_certificate_ends":        "The certificate ends on {date}, in {days} days: renew it, and put the new files in its place; the server reads them by itself.",
	"doctor_certificate_not_renewed": "The certificate ends on {date}, in {days} days, and should have been renewed by itself: look at the server’s log.",
	"doctor_authority_ends":          "The authority of this host ends on {date}, in {days} days: after that every tablet has to trust another. Plan a quiet day, move its folder away and start the server.",
	"doctor_certificate_ended":       "The certificate ended on {date}: browsers turn away. Renew it, or look why the server did not.",
	"doctor_certificate_not_yet":     "The certificate begins on {date} only: look at the clock.",
	"doctor_certificate_unusable":    "The certificate cannot be used: {cause}",
	"doctor_no_certificate":          "No certificate is named: the server speaks plain HTTP, or a proxy in front speaks TLS. Where serve is given --tls or --tls-cert, give it here too.",
}
