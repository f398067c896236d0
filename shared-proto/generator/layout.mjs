// Places every field of every struct, with the padding written out.
//
// Boards and entries are compared with memcmp and copied whole, so no byte of a struct may be left to the compiler. Each
// field stands at a multiple of its own alignment, and what lies between is a uint8_t member with a name. The sizes are
// asserted in the generated header, so a compiler that thinks otherwise fails the build.

const SCALARS = {
  enum: { size: 4, align: 4, c: (type) => `enum ${type.name}` },
  bool: { size: 1, align: 1, c: () => 'bool' },
  u64: { size: 8, align: 8, c: () => 'uint64_t' },
  entry_id: { size: 16, align: 8, c: () => 'struct entry_id' },
  kind: { size: 4, align: 4, c: () => 'enum entry_kind' },
  json: { size: 8, align: 8, c: () => 'const struct cJSON *' },
}

/** Gives every struct its size, align and members: [{ c, name, suffix, size, about }], pads included. */
export function layOut(model) {
  const sizes = new Map()
  for (const struct of model.structs) {
    placeMembers(struct, structMembers(struct, sizes))
    sizes.set(struct.name, struct)
    if (isLastBody(model, struct)) sizes.set('body', unionOf(model, sizes))
  }
  if (model.board) placeMembers(model.board, boardMembers(model.board, sizes))
}

function isLastBody(model, struct) {
  return model.kinds.some((kind) => kind.struct === struct.name)
}

function unionOf(model, sizes) {
  const bodies = model.kinds.map((kind) => sizes.get(kind.struct)).filter(Boolean)
  const align = Math.max(...bodies.map((body) => body.align))
  return { size: roundUp(Math.max(...bodies.map((body) => body.size)), align), align }
}

function structMembers(struct, sizes) {
  const members = []
  for (const field of struct.fields) {
    const shape = shapeOf(field.type, sizes)
    if (!shape) continue
    const list = field.max !== undefined
    if (list) members.push({ c: 'int32_t', name: `${field.name}_count`, suffix: '', size: 4, align: 4 })
    members.push({
      c: shape.c,
      name: field.name,
      suffix: (list ? `[${field.max}]` : '') + (shape.suffix ?? ''),
      size: shape.size * (list ? field.max : 1),
      align: shape.align,
      about: field.about,
    })
  }
  return members
}

function boardMembers(board, sizes) {
  return board.parts.map((part) => {
    const shape = sizes.get(part.struct)
    const suffix = part.key === null ? '' : `[${part.max}]`
    return {
      c: `struct ${part.struct}`,
      name: part.name,
      suffix,
      size: shape.size * part.max,
      align: shape.align,
      about: part.about,
    }
  })
}

/** null for what has no place in the struct: the t of a message, and v, which the kind covers. */
function shapeOf(type, sizes) {
  if (type.form === 'const' || type.form === 'v') return null
  if (type.form === 'int') return { c: `int${type.bits}_t`, size: type.bits / 8, align: type.bits / 8 }
  if (type.form === 'text') return { c: 'char', suffix: `[${type.bytes + 1}]`, size: type.bytes + 1, align: 1 }
  if (type.form === 'struct') return { c: `struct ${type.name}`, ...pick(sizes.get(type.name)) }
  if (type.form === 'body') return { c: 'union entry_body', ...pick(sizes.get('body')) }
  const scalar = SCALARS[type.form]
  return { c: scalar.c(type), size: scalar.size, align: scalar.align }
}

function pick({ size, align }) {
  return { size, align }
}

function placeMembers(struct, members) {
  struct.members = []
  let offset = 0
  let pads = 0
  const padTo = (align) => {
    const gap = roundUp(offset, align) - offset
    if (gap > 0) struct.members.push({ c: 'uint8_t', name: `pad_${pads++}`, suffix: `[${gap}]`, size: gap, align: 1 })
    offset += gap
  }
  for (const member of members) {
    padTo(member.align)
    struct.members.push(member)
    offset += member.size
  }
  struct.align = Math.max(1, ...members.map((member) => member.align))
  padTo(struct.align)
  if (offset === 0) struct.members.push({ c: 'uint8_t', name: 'pad_0', suffix: '[1]', size: (offset = 1), align: 1 })
  struct.size = offset
}

function roundUp(value, align) {
  return Math.ceil(value / align) * align
}
