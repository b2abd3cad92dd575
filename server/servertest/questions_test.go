package servertest

import "net/http"

// needed asks the interface what needs each of three people.
func (w *walk) needed() {
	w.T.Helper()
	for _, who := range []string{Owner, Desk, Operator} {
		w.ask(who, "GET /attention", "/attention", nil, http.StatusOK)
	}
	week := object{"period": "week", "day": "2031-05-12"}
	one := "/reviews/" + text(w, w.ask(Inspector, "POST /reviews", "/reviews", week, http.StatusCreated), "id")
	w.ask(Inspector, "POST /reviews", "/reviews", week, http.StatusOK) // Nothing else is to be said.
	w.ask(Inspector, "POST /reviews", "/reviews", object{"period": "year", "day": "2031-05-12"}, http.StatusUnprocessableEntity)
	w.ask(Inspector, "POST /reviews", "/reviews", object{"period": "week", "day": "2031-06-30"}, http.StatusUnprocessableEntity) // It has not begun.
	w.ask(Inspector, "POST /reviews", "/reviews", object{"period": "month", "day": "soon"}, http.StatusUnprocessableEntity)
	w.ask(Operator, "GET /reviews", "/reviews", nil, http.StatusOK)
	w.ask(Operator, "GET /reviews/{id}", one, nil, http.StatusOK)
	w.ask(Operator, "GET /reviews/{id}", "/reviews/0193d0a0-0000-7000-8000-000000000000", nil, http.StatusNotFound)
	w.answers(w.T, w.Shop, "GET /reviews/{id}/paper", Row{Who: Desk, Path: one + "/paper", Status: http.StatusOK})
}
