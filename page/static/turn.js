// What is turned to – a field, a row – is brought into sight and takes the
// focus, a field with what stands in it selected. "Again" beside a flag turns to
// the field that is asked about; the row whose turn it is stays open.
document.addEventListener('turn', ({ target }) => {
  const fold = target.closest('details:not([open])')
  if (fold && target !== fold) fold.open = true
  target.focus({ preventScroll: true })
  if (target.matches('input, textarea')) target.select()
  target.scrollIntoView({ block: 'nearest' })
})

document.addEventListener('click', (event) => {
  const again = event.target.closest?.('a.again')
  if (again) document.getElementById(again.hash.slice(1))?.dispatchEvent(new Event('turn', { bubbles: true }))
  if (again || event.target.closest?.('.card-row.next > details[open] > summary')) event.preventDefault()
})
