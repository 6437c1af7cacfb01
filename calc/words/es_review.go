package words

// spanishReview is the Spanish of what staff ask each other and verify on site.
func spanishReview() map[string]string {
	return map[string]string{
		"verified by %s":     "verificado por %s",
		"verified by %s, %s": "verificado por %s, %s",
		"verified on site":   "verificado en la obra",
		"its photo had located it at %s %s; verified by %s, %s": "su foto lo ubicaba en %s %s; verificado por %s, %s",
		"%s (verified by %s, %s; before: %s)":                   "%s (verificado por %s, %s; antes: %s)",
		"Question, %s:":                                         "Pregunta, %s:",
		"Asked by %s, %s.":                                      "Preguntado por %s, %s.",
		"%s %d on photo %d":                                     "%s %d en la foto %d",
		"photo %d":                                              "foto %d",
		"The survey":                                            "El levantamiento",
		"nothing":                                               "nada",
	}
}
