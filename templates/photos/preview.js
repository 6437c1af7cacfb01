// The pictures that this browser makes of a photo file: at screen size, so that pins can be placed before the original has arrived (or when the
// server cannot open it, such as a HEIC photo on the phone that took it), and a small one for lists.

const SCREEN = 2000, THUMB = 320; // px of the longer side

async function jpeg(picture, longest, quality) {
  const scale = Math.min(1, longest / Math.max(picture.width, picture.height)), canvas = document.createElement('canvas');
  canvas.width = Math.max(1, Math.round(picture.width * scale));
  canvas.height = Math.max(1, Math.round(picture.height * scale));
  canvas.getContext('2d').drawImage(picture, 0, 0, canvas.width, canvas.height);
  const blob = await new Promise((give) => canvas.toBlob(give, 'image/jpeg', quality));
  return blob?.arrayBuffer();
}

/** makePreview gives {screen, thumb, width, height} of a picture file, upright, the size being the original's; null when this browser cannot open it. */
export async function makePreview(file) {
  try {
    const picture = await createImageBitmap(file, { imageOrientation: 'from-image' }), { width, height } = picture;
    try {
      return { screen: await jpeg(picture, SCREEN, 0.88), thumb: await jpeg(picture, THUMB, 0.8), width, height };
    } finally {
      picture.close();
    }
  } catch {
    return null;
  }
}
