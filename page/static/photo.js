// A picture chosen for a field marked data-photo is shown, upright, and made
// small here, so that less is sent and a slow program has less to do. A browser
// that cannot read the picture sends it as it is; the notebook says what is wrong.
const most = 2_000_000 // pixels, as many as are kept

document.addEventListener('change', async ({ target }) => {
  if (!target.matches?.('input[type=file][data-photo]')) return
  target.form.querySelector('canvas')?.remove()
  const [file] = target.files
  if (!file) return
  const button = target.form.querySelector('button')
  button.disabled = true
  try {
    const picture = await createImageBitmap(file)
    const canvas = drawn(picture)
    target.closest('.field').append(canvas)
    if (picture.width * picture.height > most) await replace(target, canvas)
  } catch {
    // sent as it is
  } finally {
    button.disabled = false
  }
})

// drawn is a picture of at most so many pixels.
function drawn(picture) {
  const scale = Math.min(1, Math.sqrt(most / (picture.width * picture.height)))
  const canvas = document.createElement('canvas')
  canvas.width = Math.max(1, Math.floor(picture.width * scale))
  canvas.height = Math.max(1, Math.floor(picture.height * scale))
  canvas.setAttribute('role', 'img')
  canvas.setAttribute('aria-label', 'the picture that was chosen')
  const pen = canvas.getContext('2d')
  pen.imageSmoothingQuality = 'high'
  pen.drawImage(picture, 0, 0, canvas.width, canvas.height)
  return canvas
}

// replace puts the small picture in place of the one that was chosen.
async function replace(input, canvas) {
  const small = await new Promise((resolve) => canvas.toBlob(resolve, 'image/jpeg', 0.92))
  const files = new DataTransfer()
  files.items.add(new File([small], 'photo.jpg', { type: 'image/jpeg' }))
  input.files = files.files
}
