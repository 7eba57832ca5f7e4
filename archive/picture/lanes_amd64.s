#include "textflag.h"

// A tap is 40 bytes: a slice of three words, the weight, the flip.
#define TAP 40
#define WEIGHT 24
#define FLIP 32

// SPREAD fills Y registers with a weight and a flip of tap k.
#define SPREAD8(k, w, f) \
	VPBROADCASTW (k*TAP+WEIGHT)(DX), w \
	VPBROADCASTQ (k*TAP+FLIP)(DX), f

#define SPREAD16(k, w, f) \
	VPBROADCASTD (k*TAP+WEIGHT)(DX), w \
	VPBROADCASTQ (k*TAP+FLIP)(DX), f

// LANES adds four words of a row to the sums Y12 (even) and Y13 (odd). Y15 has
// ones in the even lanes. No lane overflows; see newResampler.
#define LANES8(row, w, f) \
	VPXOR   (row)(CX*8), f, Y8 \
	VPAND   Y15, Y8, Y9        \
	VPSRLW  $8, Y8, Y8         \
	VPMULLW w, Y9, Y9          \
	VPMULLW w, Y8, Y8          \
	VPADDW  Y9, Y12, Y12       \
	VPADDW  Y8, Y13, Y13

#define LANES16(row, w, f) \
	VPXOR   (row)(CX*8), f, Y8 \
	VPAND   Y15, Y8, Y9        \
	VPSRLD  $16, Y8, Y8        \
	VPMULLD w, Y9, Y9          \
	VPMULLD w, Y8, Y8          \
	VPADDD  Y9, Y12, Y12       \
	VPADDD  Y8, Y13, Y13

// func addBytes(even, odd *uint64, t *[4]tap, n int)
TEXT ·addBytes(SB), NOSPLIT, $0-32
	MOVQ even+0(FP), DI
	MOVQ odd+8(FP), SI
	MOVQ t+16(FP), DX
	MOVQ n+24(FP), BX
	MOVQ (0*TAP)(DX), R8
	MOVQ (1*TAP)(DX), R9
	MOVQ (2*TAP)(DX), R10
	MOVQ (3*TAP)(DX), R11
	SPREAD8(0, Y0, Y4)
	SPREAD8(1, Y1, Y5)
	SPREAD8(2, Y2, Y6)
	SPREAD8(3, Y3, Y7)
	VPCMPEQW Y15, Y15, Y15
	VPSRLW   $8, Y15, Y15
	XORQ CX, CX

bytes:
	VMOVDQU (DI)(CX*8), Y12
	VMOVDQU (SI)(CX*8), Y13
	LANES8(R8, Y0, Y4)
	LANES8(R9, Y1, Y5)
	LANES8(R10, Y2, Y6)
	LANES8(R11, Y3, Y7)
	VMOVDQU Y12, (DI)(CX*8)
	VMOVDQU Y13, (SI)(CX*8)
	ADDQ $4, CX
	CMPQ CX, BX
	JLT  bytes
	VZEROUPPER
	RET

// func addWords(even, odd *uint64, t *[4]tap, n int)
TEXT ·addWords(SB), NOSPLIT, $0-32
	MOVQ even+0(FP), DI
	MOVQ odd+8(FP), SI
	MOVQ t+16(FP), DX
	MOVQ n+24(FP), BX
	MOVQ (0*TAP)(DX), R8
	MOVQ (1*TAP)(DX), R9
	MOVQ (2*TAP)(DX), R10
	MOVQ (3*TAP)(DX), R11
	SPREAD16(0, Y0, Y4)
	SPREAD16(1, Y1, Y5)
	SPREAD16(2, Y2, Y6)
	SPREAD16(3, Y3, Y7)
	VPCMPEQD Y15, Y15, Y15
	VPSRLD   $16, Y15, Y15
	XORQ CX, CX

words:
	VMOVDQU (DI)(CX*8), Y12
	VMOVDQU (SI)(CX*8), Y13
	LANES16(R8, Y0, Y4)
	LANES16(R9, Y1, Y5)
	LANES16(R10, Y2, Y6)
	LANES16(R11, Y3, Y7)
	VMOVDQU Y12, (DI)(CX*8)
	VMOVDQU Y13, (SI)(CX*8)
	ADDQ $4, CX
	CMPQ CX, BX
	JLT  words
	VZEROUPPER
	RET
