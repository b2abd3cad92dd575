package store

import "testing"

// Of what pg_dump and pg_restore say, the cause is told, wherever it stands.
func TestTheCauseInWhatAProgramSaid(t *testing.T) {
	for said, want := range map[string]string{
		"pg_restore: error: could not execute query: ERROR:  function \"f\" already exists\nCommand was: CREATE FUNCTION f() AS $$\nBEGIN\nEND $$;\n":                                                  `pg_restore: error: could not execute query: ERROR:  function "f" already exists`,
		"pg_dump: error: Dumping the contents of table \"t\" failed: PQgetResult() failed.\npg_dump: detail: Error message from server: ERROR:  invalid page\npg_dump: detail: Command was: COPY t\n":  "pg_dump: detail: Error message from server: ERROR:  invalid page",
		"pg_dump: error: connection to server at \"::1\" failed: Connection refused\n\tIs the server running?\nconnection to server at \"127.0.0.1\" failed: FATAL:  password authentication failed\n": `connection to server at "127.0.0.1" failed: FATAL:  password authentication failed`,
		"pg_dump: error: could not open output file: No such file\nTry again.\n":                                                                                                                       "pg_dump: error: could not open output file: No such file",
		"killed\n": "killed",
	} {
		if got := causeIn(said); got != want {
			t.Errorf("%q, want %q", got, want)
		}
	}
}
