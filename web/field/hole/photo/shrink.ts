/** Longest side of a picture that is kept, in pixels. */
export const longestSide = 2048;

/** Size to draw at: the longest side at most `most`, never larger than it is. */
export function fitWithin(
  width: number,
  height: number,
  most = longestSide,
): { width: number; height: number } {
  const scale = Math.min(1, most / Math.max(width, height));
  return { width: Math.max(1, Math.round(width * scale)), height: Math.max(1, Math.round(height * scale)) };
}

/**
 * A picture as it is kept: turned as the camera says, at most 2048 px, a JPEG drawn anew, so that nothing of the
 * camera's notes (place, time, device) is left in it.
 * @throws what the browser throws for a file that is no picture.
 */
export async function shrink(file: Blob): Promise<Blob> {
  const picture = await createImageBitmap(file, { imageOrientation: 'from-image' });
  const { width, height } = fitWithin(picture.width, picture.height);
  const canvas = document.createElement('canvas');
  canvas.width = width;
  canvas.height = height;
  const pen = canvas.getContext('2d')!;
  pen.fillStyle = '#fff';
  pen.fillRect(0, 0, width, height);
  pen.drawImage(picture, 0, 0, width, height);
  picture.close();
  return new Promise((resolve, reject) =>
    canvas.toBlob(
      (blob) => (blob ? resolve(blob) : reject(new Error('The picture could not be written.'))),
      'image/jpeg',
      0.85,
    ),
  );
}
