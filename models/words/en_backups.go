package words

// enBackups say what is wrong with backups, and why one cannot be put back.
var enBackups = map[string]string{
	"backup_no_folder":    "The folder for backups, {folder}, is gone or cannot be written: put the disk back, or name another folder with --backups.",
	"backup_emptied":      "The folder for backups, {folder}, holds none of those that were made in it: is its disk there? Put the disk back. On a new one, make the first backup by hand: tracewright backup --backups {folder}.",
	"backup_disk_full":    "The disk is full: no backup can be made in {folder}. Make room there, or name another folder with --backups.",
	"backup_damaged":      "The database file is damaged, and a copy of it would be too: stop the server, keep the file, and put back the last good backup.",
	"backup_no_tool":      "The pg_dump of this database’s version is not here: install the client programs of PostgreSQL.",
	"backup_no_keys":      "The folder of the server’s keys holds none that the log of changes knows, and a backup without them is worth little: name the folder in which the server’s keys lie with --keys.",
	"backup_no_key":       "A backup in {folder} has to be encrypted, and there is no recovery key yet: make one under Backups, or by tracewright backup --new-key.",
	"backup_failed":       "No backup could be made at the last try: see the server’s log.",
	"backup_by_hand":      "The last backup that was asked for by hand was not made; why stood on its console. Those of each day go on.",
	"backup_too_old":      "The last good backup is more than two days old.",
	"backup_not_sealed":   "Backups are made, but in the clear, beside the database and without its keys: a disk that fails takes both. Make a recovery key under Backups, and name a folder on another disk with --backups.",
	"backup_label_wanted": "The database was put back from a backup of {date}. Give the last label that was printed before, so that its serial is not given out again.",

	"backup_not_there":      "There is no such file: {file}.",
	"backup_not_ours":       "{file} is no backup of this program.",
	"backup_newer_format":   "{file} was made by a newer version of this program: put it back with that version.",
	"backup_newer_schema":   "{file} holds a database of a newer version of this program (schema {n}, and this program knows {most}): put it back with that version.",
	"backup_cut":            "{file} ends too early: its end is missing, as after a disk that was full or a copy that broke off. Nothing was written; take another one.",
	"backup_changed":        "{file} is not what was written: bytes of it were changed or damaged. Nothing was written; take another one.",
	"backup_wrong_key":      "This recovery key does not open {file}: it is for another key, the one whose public half is {key}.",
	"backup_key_form":       "This is no recovery key: type the four lines as they are printed, or the text of the QR code, which begins with AGE-SECRET-KEY-1.",
	"backup_key_line":       "Line {n} of the recovery key does not match its check, the last two characters: read it again.",
	"backup_not_empty":      "There is a database already: a backup is put back into an empty place only. Nothing was changed. Move {place} away, or name another place with --database.",
	"backup_keys_there":     "There are keys already in {folder}: a backup is put back into an empty place only. Nothing was changed. Move the folder away, or name another with --keys.",
	"backup_tls_there":      "There is an authority of --tls auto already in {folder}: a backup is put back into an empty place only. Nothing was changed. Move the folder away, or name another with --tls-folder.",
	"backup_other_kind":     "{file} is of a database of another kind ({kind}): put it back with --database {example}",
	"backup_not_sound":      "The records in {file} are not those that its log of changes speaks of ({code}): tracewright verify database tells more. Nothing was written; take an older one, or put it back as it is with --anyway.",
	"backup_no_public_keys": "{file} has no public keys with it, so that its log of changes cannot be verified: put it back as it is with --anyway.",
	"backup_never_restored": "This database was never put back from a backup: there is no last label to give.",
}
