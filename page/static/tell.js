// What went wrong is told at the head of the page, where it stays until the
// next answer: any script sends a "tell" with the words.
document.addEventListener('tell', ({ detail }) => {
  const p = document.getElementById('told') ?? Object.assign(document.createElement('p'), { id: 'told', className: 'flash told' })
  p.setAttribute('role', 'alert')
  p.textContent = detail
  document.getElementById('main').prepend(p)
})
