package password

import (
	"encoding/hex"
	"strings"
	"testing"
)

// TestArgon2idAgainstTheReference: values of the reference implementation of argon2 (src/test.c of P-H-C/phc-winner-argon2: version 0x13, argon2id,
// "password" with the salt "somesalt"), written from memory.
func TestArgon2idAgainstTheReference(t *testing.T) {
	for name, test := range map[string]struct {
		costs
		want string
	}{
		"t=2 m=64 MiB p=1": {costs{memory: 64 << 10, time: 2, threads: 1}, "09316115d5cf24ed5a15a31a3ba326e5cf32edc24702987c02b6566f61913cf7"},
		"t=2 m=256 p=1":    {costs{memory: 256, time: 2, threads: 1}, "9dfeb910e80bad0311fee20f9c0e2b12c17987b4cac90c2ef54d5b3021c68bfe"},
		"t=2 m=256 p=2":    {costs{memory: 256, time: 2, threads: 2}, "6d093c501fd5999645e0ea3bf620d7b8be7fd2db59c20d9fff9539da2bf57037"},
	} {
		if got := hex.EncodeToString(test.key("password", []byte("somesalt"), 32)); got != test.want {
			t.Errorf("%s: got %s, want %s", name, got, test.want)
		}
	}
	// The same test.c's encoded form.
	const encoded = "$argon2id$v=19$m=256,t=2,p=1$c29tZXNhbHQ$nf65EOgLrQMR/uIPnA4rEsF5h7TKyQwu9U1bMCHGi/4"
	if fits, old, err := Check("password", encoded); !fits || !old || err != nil {
		t.Errorf("the encoded form: fits %t, old %t, %v", fits, old, err)
	}
	if fits, _, err := Check("Password", encoded); fits || err != nil {
		t.Errorf("another password: fits %t, %v", fits, err)
	}
}

// TestCosts: OWASP Password Storage Cheat Sheet, argon2id: "m=47104 (46 MiB), t=1, p=1" is the first of its equal settings.
func TestCosts(t *testing.T) {
	a, b := Hash("four dry words here"), Hash("four dry words here")
	if a == b || !strings.HasPrefix(a, "$argon2id$v=19$m=47104,t=1,p=1$") {
		t.Errorf("got %s and %s", a, b)
	}
	if fits, old, err := Check("four dry words here", a); !fits || old || err != nil {
		t.Errorf("fits %t, old %t, %v", fits, old, err)
	}
	if fits, _, err := Check("", Nobody()); fits || err != nil {
		t.Errorf("nobody's: fits %t, %v", fits, err)
	}
	if fits, _, err := Check(strings.Repeat("x", longest+1), a); fits || err != nil {
		t.Errorf("too long: fits %t, %v", fits, err)
	}
}

func TestBrokenHashes(t *testing.T) {
	for _, hash := range []string{
		"", "x", "$argon2i$v=19$m=256,t=2,p=1$c29tZXNhbHQ$nf65EOgLrQMR/uIPnA4rEsF5h7TKyQwu9U1bMCHGi/4", "$argon2id$v=16$m=256,t=2,p=1$c29tZXNhbHQ$nf65EOgLrQMR/uIPnA4rEsF5h7TKyQwu9U1bMCHGi/4",
		"$argon2id$v=19$m=256,t=0,p=1$c29tZXNhbHQ$nf65EOgLrQMR/uIPnA4rEsF5h7TKyQwu9U1bMCHGi/4", "$argon2id$v=19$m=4000000,t=1,p=1$c29tZXNhbHQ$nf65EOgLrQMR/uIPnA4rEsF5h7TKyQwu9U1bMCHGi/4",
		"$argon2id$v=19$m=256,t=2,p=1$c29tZXNhbHQ$", "$argon2id$v=19$m=256,t=2,p=1$c29tZXNhbHQ$!!!",
	} {
		if fits, _, err := Check("password", hash); fits || err == nil {
			t.Errorf("%s: fits %t, %v", hash, fits, err)
		}
	}
}

func TestJudge(t *testing.T) {
	for name, test := range map[string]struct {
		password string
		says     string
	}{
		"words":          {"brass ladder tuesday", ""},
		"spaces kept":    {"  a b c d e f  ", ""},
		"no composition": {"abcdefghijklmno plum", ""},
		"short":          {"elevenchars", "at least 12"},
		"one sign":       {strings.Repeat("a", 20), "different"},
		"the name":       {"J. Fenn J. Fenn", "name"},
		"a row":          {"123456789012", "row of keys"},
		"too long":       {strings.Repeat("abcdefg ", 40), "at most"},
		"no text":        {"abcdefghijkl\xff", "no text"},
		"64 characters":  {strings.Repeat("brass ladder ", 5), ""}, // OWASP ASVS 5.0.0, 6.2.9: at least 64 must be possible
	} {
		err := Judge(test.password, "J. Fenn")
		if (err == nil) != (test.says == "") || err != nil && !strings.Contains(err.Error(), test.says) {
			t.Errorf("%s: %v", name, err)
		}
	}
}
