// A picture from the device's camera, made small enough to send. Drawing it anew
// also leaves behind what a phone writes into pictures: place, time, its number.

const longestSide = 2400;
const quality = 0.85;

/**
 * @param {Blob} file as the camera gave it
 * @returns {Promise<Blob>} a JPEG
 */
export async function shrink(file) {
  const bitmap = await createImageBitmap(file, { imageOrientation: 'from-image' });
  const scale = Math.min(1, longestSide / Math.max(bitmap.width, bitmap.height));
  const canvas = document.createElement('canvas');
  canvas.width = Math.max(1, Math.round(bitmap.width * scale));
  canvas.height = Math.max(1, Math.round(bitmap.height * scale));
  canvas.getContext('2d').drawImage(bitmap, 0, 0, canvas.width, canvas.height);
  bitmap.close();
  return new Promise((resolve, reject) => {
    canvas.toBlob((blob) => (blob ? resolve(blob) : reject(new Error('no picture'))), 'image/jpeg', quality);
  });
}
