package trust

import (
	"net"
	"net/netip"
	"os"
	"slices"
	"strings"
)

// Host is what a machine is called and where it is reached. The zero Host asks
// the machine; tests give their own.
type Host struct {
	Name      func() (string, error)
	Addresses func() ([]netip.Addr, error)
}

func (h Host) settled() Host {
	if h.Name == nil {
		h.Name = os.Hostname
	}
	if h.Addresses == nil {
		h.Addresses = interfaceAddresses
	}
	return h
}

// interfaceAddresses are those of this machine's network interfaces that are
// in use. A link-local address needs a zone, which no certificate can carry.
func interfaceAddresses() ([]netip.Addr, error) {
	all, err := net.InterfaceAddrs()
	if err != nil {
		return nil, err
	}
	var out []netip.Addr
	for _, a := range all {
		n, ok := a.(*net.IPNet)
		if !ok {
			continue
		}
		if ip, ok := netip.AddrFromSlice(n.IP); ok {
			out = append(out, ip.Unmap())
		}
	}
	return out, nil
}

// subjects are the names and addresses a certificate stands for.
type subjects struct {
	host string // as the machine calls itself
	dns  []string
	ips  []netip.Addr
}

// subjectsOf asks the host; names are those it was given beside its own.
func subjectsOf(h Host, names []string) (subjects, error) {
	host, err := h.Name()
	if err != nil {
		return subjects{}, err
	}
	addresses, err := h.Addresses()
	if err != nil {
		return subjects{}, err
	}
	s := subjects{host: host, ips: []netip.Addr{netip.MustParseAddr("127.0.0.1"), netip.IPv6Loopback()}}
	for _, n := range append(ownNames(host), names...) {
		n = strings.ToLower(strings.TrimSuffix(strings.Trim(strings.TrimSpace(n), "[]"), "."))
		if ip, err := netip.ParseAddr(n); err == nil {
			addresses = append(addresses, ip.Unmap())
		} else if dnsName(n) {
			s.dns = append(s.dns, n)
		}
	}
	for _, a := range addresses {
		if a.Zone() == "" && !a.IsLinkLocalUnicast() && !a.IsMulticast() && !a.IsUnspecified() {
			s.ips = append(s.ips, a)
		}
	}
	slices.Sort(s.dns)
	slices.SortFunc(s.ips, netip.Addr.Compare)
	s.dns, s.ips = slices.Compact(s.dns), slices.Compact(s.ips)
	return s, nil
}

// ownNames are what a host answers to without anybody having set up a name:
// its own name, that name on the local link (RFC 6762), and localhost.
func ownNames(host string) []string {
	names := []string{"localhost", host}
	if short, _, _ := strings.Cut(host, "."); dnsName(strings.ToLower(short)) && !strings.EqualFold(short, "localhost") {
		names = append(names, short, short+".local")
	}
	return names
}

// dnsName says whether a text can stand as a name in a certificate: labels of
// letters, digits and hyphens (RFC 1123, 2.1).
func dnsName(n string) bool {
	if n == "" || len(n) > 253 {
		return false
	}
	for label := range strings.SplitSeq(n, ".") {
		if label == "" || len(label) > 63 || label[0] == '-' || label[len(label)-1] == '-' {
			return false
		}
		for _, c := range []byte(label) {
			if (c < 'a' || c > 'z') && (c < '0' || c > '9') && c != '-' {
				return false
			}
		}
	}
	return true
}

// domains are the names an authority for these subjects may vouch for. A name
// on the local link may change with the machine's name, so the link's domain
// stands as a whole: nobody owns a name in it.
func (s subjects) domains() []string {
	out := append([]string{"local"}, s.dns...)
	slices.Sort(out)
	return slices.Compact(out)
}

// ranges are the private addresses and, each for itself, those of the subjects
// that are not private.
func (s subjects) ranges() []*net.IPNet {
	var out []*net.IPNet
	for _, text := range privateRanges {
		_, n, err := net.ParseCIDR(text)
		if err == nil {
			out = append(out, n)
		}
	}
	for _, ip := range s.ips {
		if !slices.ContainsFunc(out, func(n *net.IPNet) bool { return n.Contains(ip.AsSlice()) }) {
			out = append(out, &net.IPNet{IP: ip.AsSlice(), Mask: net.CIDRMask(ip.BitLen(), ip.BitLen())})
		}
	}
	return out
}
