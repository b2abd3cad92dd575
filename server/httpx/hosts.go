package httpx

import (
	"net"
	"net/http"
	"net/netip"
	"strings"

	"github.com/gin-gonic/gin"
)

// Hosts refuses requests for a name that is not this server's, so that no page
// elsewhere can reach it by pointing a name of its own at our address (DNS
// rebinding). Allowed are the names given, this machine's own, and the very
// address at which the connection arrived, written as numbers: no stranger's
// name leads to that.
func Hosts(answers *Answers, names []string) gin.HandlerFunc {
	allowed := map[string]bool{"localhost": true, "127.0.0.1": true, "::1": true}
	for _, n := range names {
		allowed[hostOnly(n)] = true
	}
	return answers.guard(func(c *gin.Context) error {
		host := hostOnly(c.Request.Host)
		if !portIsNumber(c.Request.Host) {
			return errHost
		}
		if allowed[host] || isArrivalAddress(c.Request, host) {
			return nil
		}
		return errHost
	})
}

// hostOnly is a host without its port and last dot, in lower case, and an address of
// IPv6 without its brackets, which stand around nothing else (RFC 3986, 3.2.2).
func hostOnly(host string) string {
	bare := host
	if h, _, err := net.SplitHostPort(host); err == nil {
		bare = h
	} else if strings.HasPrefix(host, "[") && strings.HasSuffix(host, "]") {
		bare = host[1 : len(host)-1]
	}
	if strings.HasPrefix(host, "[") != strings.Contains(bare, ":") {
		bare = host // Brackets around a name, or none around an address: as it stands.
	}
	return strings.ToLower(strings.TrimSuffix(bare, "."))
}

// portIsNumber says whether what stands behind a host's colon is a port. Of
// localhost:80@elsewhere.example a browser would make elsewhere.example, and links
// to ourselves are made of the host.
func portIsNumber(host string) bool {
	_, port, err := net.SplitHostPort(host)
	if err != nil {
		return !strings.ContainsAny(host, "@/\\?#")
	}
	return strings.Trim(port, "0123456789") == ""
}

func isArrivalAddress(r *http.Request, host string) bool {
	asked, err := netip.ParseAddr(host)
	if err != nil {
		return false
	}
	local, ok := r.Context().Value(http.LocalAddrContextKey).(net.Addr)
	if !ok {
		return false
	}
	arrived, err := netip.ParseAddrPort(local.String())
	return err == nil && arrived.Addr().Unmap().WithZone("") == asked.Unmap().WithZone("")
}
