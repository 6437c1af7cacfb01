package words

import "sync"

// spanish is the Spanish catalogue, by the English text. It speaks the Spanish of building sites in the United States: usted, feet and inches.
var spanish = sync.OnceValue(func() map[string]string {
	return map[string]string{}
})
