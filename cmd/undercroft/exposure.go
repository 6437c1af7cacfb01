package main

import (
	"context"
	"errors"
	"fmt"
	"net"
	"net/netip"

	"undercroft/survey/store"
)

// errPlain is why nothing is served to other machines without TLS.
var errPlain = errors.New("other machines would send their passwords readable to everybody on the way: give -tls-cert and -tls-key, or name the proxy in front that has the certificate with -trusted-proxies")

// mayServe tells whether a server may be started at this address. One that only this machine reaches may be used alone without signing in; everything
// else needs people who can sign in, and TLS here or at a named proxy.
func mayServe(ctx context.Context, c serveConfig, at net.Addr, s *store.Store) error {
	local := onlyHere(at)
	if !local && c.cert == "" && len(c.proxies) == 0 {
		return errPlain
	}
	if local && len(c.proxies) == 0 {
		return nil
	}
	any, err := s.AnyPerson(ctx)
	if err != nil {
		return err
	}
	if !any {
		return fmt.Errorf("other machines would reach this server, and nobody can sign in yet. Add somebody first:\n\n  undercroft user add \"YOUR NAME\" --role office --data %q\n\n"+
			"Or use it alone and without signing in, on this machine only: --addr 127.0.0.1:8080, without a proxy", c.dir)
	}
	return nil
}

// onlyHere tells whether only this machine reaches an address.
func onlyHere(at net.Addr) bool {
	tcp, err := netip.ParseAddrPort(at.String())
	return err == nil && tcp.Addr().Unmap().IsLoopback()
}
