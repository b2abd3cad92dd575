package words

// enDatabases say why a database is not opened.
var enDatabases = map[string]string{
	"database_not_there":     "There is no database at {place}. Look at the path; a new shop begins with tracewright serve.",
	"database_no_shop":       "The database at {place} is empty. Look at its name; a new shop begins with tracewright serve.",
	"database_lost":          "There is no shop at {place}, and in {folder} lie the keys of one. Nothing was made. Is the disk of the database there? Otherwise stop the server, so that it begins no shop meanwhile; move {folder} aside, and {tls} where it is there, keep them, and put back the last good backup: {command}. A new shop begins with a folder of its own for --keys.",
	"database_lost_server":   "There is no shop in the database at {place}, and in {folder} lie the keys of one. Nothing was made. Is it the right database? Otherwise stop the server, so that it begins no shop meanwhile; move {folder} aside, and {tls} where it is there, keep them, and put back the last good backup: {command}. A new shop begins with a folder of its own for --keys.",
	"database_not_ours":      "The database at {place} holds tables of another program, and nothing of a shop. Nothing was changed in it. Look at its name.",
	"database_half_restored": "A backup was being put back into the database {place}, and that did not end: what is in it must not be used, for its numbers would be given out twice. Drop the database, make an empty one of that name, and run tracewright restore again.",
	"database_no_sqlite":     "The file {place} is no database: it does not begin like one. Nothing was changed in it. Look at the path, or put back a backup elsewhere.",
	"database_is_folder":     "The path {place} leads to a folder: name the file of the database in it.",
	"database_no_rights":     "The file {place} may not be read by this account: run the command as the account that the server runs as.",
	"database_unwritable":    "Nothing can be written beside {place}: its disk is read-only, or the folder is another account’s. Look at the disk, or run the command as the account that the server runs as.",
	"database_damaged":       "The database file {place} is damaged: stop the server, keep the file, and put back the last good backup elsewhere.",
}
