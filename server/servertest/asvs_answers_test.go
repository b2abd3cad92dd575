package servertest

import (
	"net/http"
	"net/http/httptest"
	"regexp"
	"slices"
	"strings"
	"sync"
	"testing"

	"tracewright/server/app"
)

// answered is an answer of the server, with what was asked.
type answered struct {
	route, path string
	status      int
	header      http.Header
	body        string
}

func (a answered) isPage() bool {
	return strings.HasPrefix(a.header.Get("Content-Type"), "text/html") && len(a.body) > 0
}

var everyAnswer struct {
	sync.Mutex
	list []answered
}

// answers is one of every kind of answer, over a shop with records of every kind:
// each address that looks at something, files of the program, and what is refused.
// They are asked for once.
func answers(t *testing.T) []answered {
	t.Helper()
	everyAnswer.Lock()
	defer everyAnswer.Unlock()
	if everyAnswer.list != nil {
		return everyAnswer.list
	}
	s := On(t, openSQLite(t))
	fill := s.everyPage(t)
	var list []answered
	add := func(route string, row Row) {
		status, header, body := s.Do(t, row)
		list = append(list, answered{route, row.Path, status, header, string(body)})
	}
	for _, route := range app.Routes(s.App.Services) {
		if route.Method != http.MethodGet {
			continue
		}
		all := paths(route.Path, slices.Clone(fill[route.Path]))
		if len(all) == 0 || strings.Contains(all[0], ":") {
			all = []string{regexp.MustCompile(`[:*]\w+`).ReplaceAllString(route.Path, "SP-0214")}
		}
		for _, path := range all {
			if strings.HasSuffix(path, "/events") {
				path += "?follow=no"
			}
			add(route.Path, Row{Who: Owner, Path: path})
		}
	}
	page := pageOf(t, list, "/stand")
	for _, file := range regexp.MustCompile(`/static/[^"]+`).FindAllString(page.body+pageOf(t, list, "/").body, -1) {
		add("/static/:hash/*name", Row{Who: Nobody, Path: file})
	}
	form := map[string]string{"Content-Type": "application/x-www-form-urlencoded"}
	for _, row := range []Row{
		{Path: "/signin"},
		{Path: "/"},
		{Path: "/api/v1/items"},
		{Who: WrongKey, Path: "/api/v1/items"},
		{Who: Desk, Path: "/people"},
		{Who: Desk, Path: "/no-such-page"},
		{Who: Desk, Path: "/api/v1/no-such-address"},
		{Who: Desk, Path: "/items/"},
		{Who: Desk, Method: http.MethodDelete, Path: "/items"},
		{Who: Desk, Method: http.MethodOptions, Path: "/items"},
		{Who: Desk, Method: "TRACE", Path: "/items"},
		{Who: Desk, Path: "/items/wheel-by-the-door"},
		{Who: Desk, Path: "/api/v1/items/wheel-by-the-door"},
		{Method: http.MethodPost, Path: "/signin", Body: "login=owner&password=wrong", Header: form},
		{Method: http.MethodPost, Path: "/signin", Body: strings.Repeat("a", 2<<20), Header: form},
		{Who: Operator, Path: "/api/v1/lots", Body: "{"},
		{Who: Operator, Path: "/api/v1/lots", Body: "a=b", Method: http.MethodPost, Header: form},
		{Who: Operator, Path: "/api/v1/lots", Body: "{}", Header: map[string]string{"Origin": "https://elsewhere.example"}},
	} {
		add("", row)
	}
	elsewhere := httptest.NewRequest(http.MethodGet, "http://elsewhere.example/items/", nil)
	w := httptest.NewRecorder()
	s.App.Handler.ServeHTTP(w, elsewhere)
	list = append(list, answered{"", "http://elsewhere.example/items/", w.Code, w.Result().Header, w.Body.String()})
	everyAnswer.list = list
	return list
}

func pageOf(t *testing.T, list []answered, route string) answered {
	t.Helper()
	for _, a := range list {
		if a.route == route && a.isPage() {
			return a
		}
	}
	t.Fatalf("no page of %s", route)
	return answered{}
}
