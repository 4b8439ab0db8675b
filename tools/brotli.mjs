// Packs a file with brotli (RFC 7932) at its best, beside it.
import { readFileSync, writeFileSync } from 'node:fs'
import { brotliCompressSync, constants as c } from 'node:zlib'

const [file] = process.argv.slice(2)
const plain = readFileSync(file)
writeFileSync(`${file}.br`, brotliCompressSync(plain, {
  params: { [c.BROTLI_PARAM_QUALITY]: 11, [c.BROTLI_PARAM_LGWIN]: 24, [c.BROTLI_PARAM_SIZE_HINT]: plain.length },
}))
