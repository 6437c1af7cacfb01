package annotate

func heicExif(data []byte) []byte     { return nil }
func heicSize(data []byte) (w, h int) { return 0, 0 }
