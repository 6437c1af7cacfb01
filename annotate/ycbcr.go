package annotate

import "image"

// subsampling is by how many powers of two the chroma planes are smaller than the luma, across and down. It is false for pictures that do not
// begin at the origin, which no decoder gives.
func subsampling(img *image.YCbCr) (across, down uint, ok bool) {
	if img.Rect.Min != (image.Point{}) {
		return 0, 0, false
	}
	switch img.SubsampleRatio {
	case image.YCbCrSubsampleRatio444:
		return 0, 0, true
	case image.YCbCrSubsampleRatio422:
		return 1, 0, true
	case image.YCbCrSubsampleRatio420:
		return 1, 1, true
	case image.YCbCrSubsampleRatio440:
		return 0, 1, true
	case image.YCbCrSubsampleRatio411:
		return 2, 0, true
	case image.YCbCrSubsampleRatio410:
		return 2, 1, true
	}
	return 0, 0, false
}

// averageYCbCr is average for a JPEG's planes: it takes the means before it turns them into RGB, which is linear (JFIF 1.02, conversion to and
// from RGB), so that only one colour in k² is converted. Colours outside of RGB, which real pictures hardly have, are cut off after the
// mean and not before.
func averageYCbCr(img *image.YCbCr, w, h int, hs, vs uint) *image.NRGBA {
	width, height := img.Rect.Dx(), img.Rect.Dy()
	out := image.NewNRGBA(image.Rect(0, 0, w, h))
	for y := range h {
		top, bottom := y*height/h, (y+1)*height/h
		row := out.Pix[y*out.Stride:][:4*w]
		for x := range w {
			left, right := x*width/w, (x+1)*width/w
			lum := 0
			for v := top; v < bottom; v++ {
				for _, s := range img.Y[v*img.YStride+left : v*img.YStride+right] {
					lum += int(s)
				}
			}
			cb, cr := chromaSums(img, image.Rect(left, top, right, bottom), hs, vs)
			n := float32((bottom - top) * (right - left))
			writeRGB(row[4*x:4*x+4], float32(lum)/n, float32(cb)/n-128, float32(cr)/n-128)
		}
	}
	return out
}

// chromaSums adds up the chroma of the pixels of a rectangle, each sample as often as it has pixels there.
func chromaSums(img *image.YCbCr, r image.Rectangle, hs, vs uint) (cb, cr int) {
	for j := r.Min.Y >> vs; j<<vs < r.Max.Y; j++ {
		rows := min(r.Max.Y, (j+1)<<vs) - max(r.Min.Y, j<<vs)
		for i := r.Min.X >> hs; i<<hs < r.Max.X; i++ {
			times := rows * (min(r.Max.X, (i+1)<<hs) - max(r.Min.X, i<<hs))
			at := j*img.CStride + i
			cb, cr = cb+times*int(img.Cb[at]), cr+times*int(img.Cr[at])
		}
	}
	return cb, cr
}

// writeRGB converts one colour by JFIF's formula, chroma from -128 to 127, into an opaque pixel.
func writeRGB(pixel []byte, y, cb, cr float32) {
	pixel[0], pixel[1], pixel[2], pixel[3] = level(y+1.402*cr), level(y-0.344136*cb-0.714136*cr), level(y+1.772*cb), 255
}

// level rounds to 0..255.
func level(v float32) byte {
	return byte(max(0, min(255, v+0.5)))
}
