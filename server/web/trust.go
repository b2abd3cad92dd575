package web

import (
	"fmt"
	"net/http"

	"github.com/gin-gonic/gin"

	"tracewright/models"
	"tracewright/server/httpx"
	"tracewright/server/trust"
)

// authorityFile is where the authority's certificate is handed out; devices go
// by its ending.
const authorityFile = trust.Path + "/authority.crt"

// TrustPage helps a tablet to trust this server. It is open to everybody, and
// to a browser without TLS: a tablet must be able to read it before it trusts.
type TrustPage struct {
	Frame
	File        string // address of the certificate; empty where there is none
	Fingerprint string
	Secure      string // this server's address, to go on to
	Plain       bool   // asked for without TLS
	Devices     []TrustSteps
}

// TrustSteps is what to do on one kind of device.
type TrustSteps struct {
	Name  string
	Steps []string
}

// trustSteps name operating systems and nothing else; wording of their menus
// differs between versions, so each step says what it is for.
var trustSteps = []TrustSteps{
	{"A tablet or phone with Android", []string{
		"Fetch the certificate with the button above.",
		"Open the settings of the device and find “Install a certificate” by the search there; it stands under security, encryption.",
		"Choose “CA certificate”, accept the warning, and pick the file from the downloads.",
		"Find it again under trusted certificates, user, and compare the SHA-256 fingerprint.",
	}},
	{"A tablet or phone with iOS or iPadOS", []string{
		"Fetch the certificate with the button above and allow the profile to be loaded.",
		"In the settings open the profile that was loaded. Before installing, look at more details and compare the SHA-256 fingerprint.",
		"Install it, then open General, About, Certificate Trust Settings and switch it on there.",
	}},
	{"A computer with Windows", []string{
		"Fetch the certificate and open the file.",
		"On the page of details compare the fingerprint; where only a shorter one is shown, ask for SHA-256 with certutil -hashfile.",
		"Install it for this computer, into the store of trusted root certification authorities.",
	}},
	{"A computer with macOS", []string{
		"Fetch the certificate and open the file: the keychain takes it.",
		"Open it there, compare the SHA-256 fingerprint, and set it to be trusted always.",
	}},
	{"A computer with Linux, or a browser with a list of its own", []string{
		"Fetch the certificate. In the browser’s settings look for certificates, authorities, and import it there to identify web sites.",
		"View it in the list and compare the SHA-256 fingerprint.",
	}},
}

func (s *site) trustRoutes() []httpx.Route {
	return []httpx.Route{
		{Method: http.MethodGet, Path: trust.Path, Act: httpx.Public, Handler: s.trust},
		{Method: http.MethodGet, Path: authorityFile, Act: httpx.Public, Handler: s.authority},
	}
}

func (s *site) trust(c *gin.Context) error {
	return show(c, "trust", trustPage(s.frame(c, "Trust this server", trust.Path), s.services.Authority, c.Request.Host, c.Request.TLS == nil))
}

func trustPage(frame Frame, authority []byte, host string, plain bool) TrustPage {
	page := TrustPage{Frame: frame, Plain: plain}
	if len(authority) == 0 {
		return page
	}
	page.File, page.Fingerprint, page.Secure, page.Devices = authorityFile, trust.Fingerprint(authority), "https://"+host+"/", trustSteps
	return page
}

// authority hands out the certificate of the local authority, and never a key.
func (s *site) authority(c *gin.Context) error {
	if len(s.services.Authority) == 0 {
		return fmt.Errorf("the authority's certificate: this server has none: %w", models.ErrNotFound)
	}
	httpx.Send(c, http.StatusOK, "application/x-x509-ca-cert", s.services.Authority)
	return nil
}
