// A picture that the server cannot open but this browser can, such as a HEIC photo on the phone that took it: the browser makes a JPEG of it at
// screen size, so that pins can be placed. The original has been sent already.

const LONGEST = 2000;

/** makePreview gives a JPEG of a picture file, or null when this browser cannot open it either. */
export async function makePreview(file) {
  try {
    const picture = await createImageBitmap(file, { imageOrientation: 'from-image' });
    const scale = Math.min(1, LONGEST / Math.max(picture.width, picture.height));
    const canvas = document.createElement('canvas');
    canvas.width = Math.max(1, Math.round(picture.width * scale));
    canvas.height = Math.max(1, Math.round(picture.height * scale));
    canvas.getContext('2d').drawImage(picture, 0, 0, canvas.width, canvas.height);
    picture.close();
    return await new Promise((give) => canvas.toBlob(give, 'image/jpeg', 0.9));
  } catch {
    return null;
  }
}

/** sendPreview makes and sends a preview of the photo at an address; it gives the photo as the server has it then, or null. */
export async function sendPreview(address, file) {
  const preview = await makePreview(file);
  if (!preview) return null;
  try {
    const answer = await fetch(`${address}/preview`, { method: 'PUT', headers: { 'Content-Type': 'image/jpeg' }, body: preview });
    return answer.ok ? await answer.json() : null;
  } catch {
    return null;
  }
}
