/* A drawing as a picture: through a canvas to the clipboard, or into a file where there is no clipboard to write to. */

const PX_PER_MM = 6;
const MOST_PX = 8000;

/**
 * @param {import('./drawing.js').Drawing} drawing
 * @param {import('./store.js').Store} store
 */
export async function copyPicture(drawing, store) {
    const png = await pictureOf(drawing);
    try {
        await navigator.clipboard.write([new ClipboardItem({ 'image/png': png })]);
        store.say('The drawing is on the clipboard, as a picture.');
    } catch {
        save(png, 'drawing.png');
        store.say('The clipboard is closed to pages here, so the picture was saved as drawing.png.');
    }
}

/**
 * @param {import('./drawing.js').Drawing} drawing
 * @returns {Promise<Blob>}
 */
export async function pictureOf(drawing) {
    const { width, height } = drawing.size;
    const scale = Math.min(PX_PER_MM, MOST_PX / Math.max(width, height));
    const text = new XMLSerializer().serializeToString(drawing.copyForPaper());
    const url = URL.createObjectURL(new Blob([text], { type: 'image/svg+xml' }));
    try {
        const image = new Image();
        image.src = url;
        await image.decode();
        const canvas = new OffscreenCanvas(Math.round(width * scale), Math.round(height * scale));
        canvas.getContext('2d')?.drawImage(image, 0, 0, canvas.width, canvas.height);
        return await canvas.convertToBlob({ type: 'image/png' });
    } finally {
        URL.revokeObjectURL(url);
    }
}

/**
 * @param {Blob} blob
 * @param {string} name
 */
export function save(blob, name) {
    const link = document.createElement('a');
    link.href = URL.createObjectURL(blob);
    link.download = name;
    link.click();
    setTimeout(() => URL.revokeObjectURL(link.href), 10000);
}
