package servertest

import "net/http"

// needed asks the interface what needs each of three people.
func (w *walk) needed() {
	w.T.Helper()
	for _, who := range []string{Owner, Desk, Operator} {
		w.ask(who, "GET /attention", "/attention", nil, http.StatusOK)
	}
}
