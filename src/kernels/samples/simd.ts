// AssemblyScript: samples of a frame as floats. Types: 0 bytes, 1 words of 16 bits, 2 floats (log2 of the bytes a sample).

/** Four samples. */
@inline
export function four(src: usize, type: i32): v128 {
  if (type === 0) return f32x4.convert_i32x4_u(i32x4.extend_low_i16x8_u(i16x8.extend_low_i8x16_u(v128.load32_zero(src))))
  if (type === 1) return f32x4.convert_i32x4_u(v128.load_ext<u16>(src))
  return v128.load(src)
}

@inline
export function sample(src: usize, type: i32): f32 {
  if (type === 0) return <f32>load<u8>(src)
  if (type === 1) return <f32>load<u16>(src)
  return load<f32>(src)
}
