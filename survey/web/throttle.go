package web

import (
	"net/netip"
	"slices"
	"sync"
	"time"

	"golang.org/x/time/rate"
)

// How often somebody may try to sign in: 10 times in a row and then once in 90 s by one name, 50 times and then once in 72 s from one address. OWASP ASVS
// 4.0.3, 2.2.1 allows at most 100 failed tries an hour on one account; this is 10 and 40.
const (
	triesByName    = 10
	everyByName    = 90 * time.Second
	triesByAddress = 50
	everyByAddress = 72 * time.Second
	mostKeys       = 10000 // names or addresses that are remembered at once
)

// throttle counts tries by a key.
type throttle struct {
	every time.Duration
	tries int
	most  int

	mu     sync.Mutex
	byKey  map[string]*rate.Limiter
	sorted []string // the keys, the first known first
}

func newThrottle(tries int, every time.Duration, most int) *throttle {
	return &throttle{every: every, tries: tries, most: most, byKey: map[string]*rate.Limiter{}}
}

// wait takes one try and gives 0, or takes none and gives how long to wait for it.
func (t *throttle) wait(key string, now time.Time) time.Duration {
	t.mu.Lock()
	defer t.mu.Unlock()
	limiter, ok := t.byKey[key]
	if !ok {
		if len(t.sorted) >= t.most {
			delete(t.byKey, t.sorted[0])
			t.sorted = t.sorted[1:]
		}
		limiter = rate.NewLimiter(rate.Every(t.every), t.tries)
		t.byKey[key], t.sorted = limiter, append(t.sorted, key)
	}
	try := limiter.ReserveN(now, 1)
	delay := try.DelayFrom(now)
	if delay > 0 {
		try.CancelAt(now)
	}
	return delay
}

// forget gives all tries of a key back: somebody has signed in.
func (t *throttle) forget(key string) {
	t.mu.Lock()
	defer t.mu.Unlock()
	if i := slices.Index(t.sorted, key); i >= 0 {
		t.sorted = slices.Delete(t.sorted, i, i+1)
		delete(t.byKey, key)
	}
}

// network is what tries are counted by for an address: an IPv6 customer has a whole /64.
func network(address string) string {
	ip, err := netip.ParseAddr(address)
	if err != nil {
		return address
	}
	ip = ip.Unmap()
	if ip.Is6() {
		if prefix, err := ip.WithZone("").Prefix(64); err == nil {
			return prefix.String()
		}
	}
	return ip.String()
}
