package web

import (
	"time"

	"tracewright/models"
	"tracewright/models/work/access"
	"tracewright/models/work/privacy"
)

const sampleAgent = "Mozilla/5.0 (X11; Linux x86_64; rv:140.0) Gecko/20100101 Firefox/140.0"

// accountPages are the pages of second factors, sessions and of customers whose time
// is over, empty and full.
func accountPages(s *site, owner Frame, bare *form) map[string][]any {
	second := func(x access.Second, f *form, offered *access.Offered, codes ...string) SecondPage {
		p := SecondPage{Frame: owner, Codes: codes, Of: "Recovery codes of Ana Reyes, login ana, at Marrow Lane Wheels. Made on 24 May 2027.", Next: keyPath, QR: &TestSymbol{Path: "M4 4h7v1h-7z", Width: 45, Height: 45}}
		p.fill(x, f, offered)
		p.Problems = f.summary()
		return p
	}
	wrong := newForm(func(string) string { return "" }, models.Invalid("code", "code_wrong", "left", "3"))
	used := newForm(func(string) string { return "" }, models.Invalid("code", "code_used", "left", "2"))
	set := access.Second{Set: true, Since: sampleNow, Recovery: 9, Demanded: true}
	all, mine, tablet := SessionsPage{Frame: owner, All: true, Path: "/sessions"}, SessionsPage{Frame: owner, Path: "/own/sessions"}, owner
	tablet.Actor.DeviceID = "d1"
	found := []models.Session{{TokenHash: "a", PersonID: text("p1"), Agent: sampleAgent, Address: "192.0.2.7", SeenAt: sampleNow, BeganAt: sampleNow.Add(-time.Hour)}, {TokenHash: "b", PersonID: text("p1"), DeviceID: text("d1"), SeenAt: sampleNow, BeganAt: sampleNow}, {TokenHash: "c", PersonID: text("p2"), DeviceID: text("gone"), Agent: "curl/8.9"}}
	devices := []models.Device{{ID: "d1", Name: "Tablet 1", Place: "stand 1"}}
	people := map[string]string{"p1": "Johanna Thorne", "p2": "Inge Okarra"}
	s.fillSessions(&all, found, people, devices, "a")
	s.fillSessions(&mine, found[:1], people, devices, "a")
	doubts := []access.Doubt{{DeviceDoubt: models.DeviceDoubt{DeviceID: "d1", Kind: models.DoubtTurn, Agent: sampleAgent, Address: "192.0.2.7", FirstAt: sampleNow, SeenAt: sampleNow}, Device: devices[0]},
		{DeviceDoubt: models.DeviceDoubt{DeviceID: "d1", Kind: models.DoubtTwo, Agent: sampleAgent, Address: "192.0.2.8", FirstAt: sampleNow, SeenAt: sampleNow}, Device: devices[0]},
		{DeviceDoubt: models.DeviceDoubt{DeviceID: "d2", Kind: models.DoubtProgram, Address: "192.0.2.9", FirstAt: sampleNow, SeenAt: sampleNow}, Device: models.Device{ID: "d2", Name: "Tablet 2"}}}
	secret := func(id string) *Field {
		return &Field{ID: id, Name: "confirm.password", Label: "Your password", Kind: "password"}
	}
	due := privacy.Due{Months: 24, More: true, Customers: []models.DueCustomer{{ID: "c1", EnteredAt: sampleNow.AddDate(-4, 0, 0), LastAt: sampleNow.AddDate(-3, 0, 0), Orders: 1, Shipments: 1}}}
	return map[string][]any{
		"signin_code":   {CodePage{}, CodePage{Next: "/claims", Code: wrong.field(Field{Name: "code", Label: "Code"}), Problems: wrong.summary()}},
		"own_second":    {SecondPage{Frame: owner}, SecondPage{Frame: owner, Device: true}, second(access.Second{Demanded: true}, bare, nil), second(set, used, nil), second(set, bare, nil, "ABCDE-01234"), second(access.Second{}, wrong, &access.Offered{Secret: "JBSW Y3DP", URI: "otpauth://totp/x"})},
		"sessions":      {SessionsPage{Frame: owner}, SessionsPage{Frame: tablet, Device: true}, all, mine},
		"devices":       {DevicesPage{Frame: owner, Answer: "Two tablets are enrolled", Doubts: s.doubtRows(doubts), Rows: []DeviceRow{{Name: "Tablet 1", Place: "stand 1", Seen: "07:40, " + browserWords(sampleAgent) + ", 192.0.2.7"}}}, DevicesPage{Frame: owner, Secret: secret("a"), ProgramSecret: secret("b")}},
		"customers_due": {s.duePage(owner, privacy.Due{}, nil), s.duePage(owner, privacy.Due{Months: 1}, nil), s.duePage(owner, due, []string{"c1"})},
		"person": {PersonPage{Frame: owner, Title: "Tam Vale", ID: "p3", Path: "/people/p3", Second: true}, PersonPage{Frame: owner, Title: "Ota Brix", ID: "p4", Path: "/people/p4", Left: true},
			PersonPage{Frame: owner, Title: "Tam Vale", ID: "p3", Path: "/people/p3", Link: true, PIN: &Field{ID: "pin", Name: "pin", Label: "New PIN"}, Secret: secret("a"), LinkSecret: secret("b"), PINSecret: secret("c")}},
		"people": {PeoplePage{Frame: owner, Rows: []PersonRow{{Name: "Tam Vale", Second: true}}}},
	}
}
