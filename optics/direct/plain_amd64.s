//go:build !purego

// The innermost sum for processors with AVX2 and with AVX-512: for each cell what addPlainGo does, in its order and without fused
// multiply-adds, so that all three forms give the same bits. TestFormsAgree and TestFormsKeepToTheirMemory hold them.
//
// There is no gather in it: a pair of the table is one load of 32 bytes, and four or eight of them are turned on their side in
// registers. Where they stand goes through memory, the short way from vectors to addresses: a ring of four slots of 128 bytes
// on the stack holds the places of the cells (in bytes) and, 64 bytes on, the ways from there to the next places, worked out
// some cells ahead, so that no load waits for the store before it.
//
// Registers 0 to 6 are the fields of the plainRow: first, skip (which counts on as the number of the next cells), step, fixed2,
// lumens, apparent, scale. 7 is the number of cells at once, 8 the ways of the cells at hand; 9 is what they get of lx, 11 of PPFD.
// AX and CX point to lux and ppfd, DX to the table, DI to the ring; BX counts cells, R8 slots still to be filled, SI is the slot.

#include "textflag.h"

DATA lanes<>+0(SB)/8, $0x0000000000000000
DATA lanes<>+8(SB)/8, $0x3ff0000000000000
DATA lanes<>+16(SB)/8, $0x4000000000000000
DATA lanes<>+24(SB)/8, $0x4008000000000000
DATA lanes<>+32(SB)/8, $0x4010000000000000
DATA lanes<>+40(SB)/8, $0x4014000000000000
DATA lanes<>+48(SB)/8, $0x4018000000000000
DATA lanes<>+56(SB)/8, $0x401c000000000000
GLOBL lanes<>(SB), RODATA|NOPTR, $64

DATA widths<>+0(SB)/8, $0x4020000000000000
DATA widths<>+8(SB)/8, $0x4010000000000000
GLOBL widths<>(SB), RODATA|NOPTR, $16

DATA counts<>+0(SB)/8, $0x0000000000000000
DATA counts<>+8(SB)/8, $0x0000000000000001
DATA counts<>+16(SB)/8, $0x0000000000000002
DATA counts<>+24(SB)/8, $0x0000000000000003
GLOBL counts<>(SB), RODATA|NOPTR, $32

// func addPlain512(lux *float64, ppfd *float64, table *float64, cells int, row *float64)
// Requires: AVX, AVX2, AVX512F, BMI2
TEXT ·addPlain512(SB), NOSPLIT, $576-40
	MOVQ         lux+0(FP), AX
	MOVQ         ppfd+8(FP), CX
	MOVQ         table+16(FP), DX
	MOVQ         cells+24(FP), BX
	MOVQ         row+32(FP), SI
	LEAQ         (SP), DI
	ADDQ         $+63, DI
	ANDQ         $-64, DI
	VBROADCASTSD (SI), Z0
	VBROADCASTSD 8(SI), Z1
	VBROADCASTSD 16(SI), Z2
	VBROADCASTSD 24(SI), Z3
	VBROADCASTSD 32(SI), Z4
	VBROADCASTSD 40(SI), Z5
	VBROADCASTSD 48(SI), Z6
	VBROADCASTSD widths<>+0(SB), Z7
	VADDPD       lanes<>+0(SB), Z1, Z1
	LEAQ         7(BX), R8
	SHRQ         $0x03, R8
	XORQ         SI, SI

// Fills the slots with the first places.
addPlain512Begin:
	VMULPD      Z2, Z1, Z13
	VADDPD      Z0, Z13, Z13
	VADDPD      Z7, Z1, Z1
	VMULPD      Z13, Z13, Z13
	VADDPD      Z3, Z13, Z13
	VADDPD      Z5, Z13, Z14
	VDIVPD      Z14, Z13, Z14
	VMULPD      Z6, Z14, Z14
	VMINPD      Z6, Z14, Z14
	VCVTTPD2DQ  Z14, Y13
	VPSLLD      $0x05, Y13, Y13
	VMOVDQU     Y13, (DI)(SI*1)
	VRNDSCALEPD $0x0b, Z14, Z13
	VSUBPD      Z13, Z14, Z13
	VMOVUPD     Z13, 64(DI)(SI*1)
	ADDQ        $+128, SI
	DECQ        R8
	JE          addPlain512Begun
	CMPQ        SI, $+512
	JLT         addPlain512Begin

addPlain512Begun:
	XORQ SI, SI

// Takes the places of eight cells from a slot and fills it for later ones.
addPlain512Cells:
	MOVL        (DI)(SI*1), R9
	MOVL        4(DI)(SI*1), R10
	MOVL        8(DI)(SI*1), R11
	MOVL        12(DI)(SI*1), R12
	MOVL        16(DI)(SI*1), R13
	MOVL        20(DI)(SI*1), R14
	MOVL        24(DI)(SI*1), R15
	MOVL        28(DI)(SI*1), BP
	VMOVUPD     64(DI)(SI*1), Z8
	TESTQ       R8, R8
	JE          addPlain512Placed
	DECQ        R8
	VMULPD      Z2, Z1, Z13
	VADDPD      Z0, Z13, Z13
	VADDPD      Z7, Z1, Z1
	VMULPD      Z13, Z13, Z13
	VADDPD      Z3, Z13, Z13
	VADDPD      Z5, Z13, Z14
	VDIVPD      Z14, Z13, Z14
	VMULPD      Z6, Z14, Z14
	VMINPD      Z6, Z14, Z14
	VCVTTPD2DQ  Z14, Y13
	VPSLLD      $0x05, Y13, Y13
	VMOVDQU     Y13, (DI)(SI*1)
	VRNDSCALEPD $0x0b, Z14, Z13
	VSUBPD      Z13, Z14, Z13
	VMOVUPD     Z13, 64(DI)(SI*1)

// Loads the pairs, turns them on their side, goes the way to the next pairs, and adds the light.
addPlain512Placed:
	ADDQ         $+128, SI
	ANDQ         $+511, SI
	VMOVUPD      (DX)(R9*1), Y10
	VINSERTF64X4 $0x01, (DX)(R11*1), Z10, Z10
	VMOVUPD      (DX)(R10*1), Y11
	VINSERTF64X4 $0x01, (DX)(R12*1), Z11, Z11
	VMOVUPD      (DX)(R13*1), Y12
	VINSERTF64X4 $0x01, (DX)(R15*1), Z12, Z12
	VMOVUPD      (DX)(R14*1), Y13
	VINSERTF64X4 $0x01, (DX)(BP*1), Z13, Z13
	VUNPCKLPD    Z11, Z10, Z14
	VUNPCKHPD    Z11, Z10, Z16
	VUNPCKLPD    Z13, Z12, Z11
	VUNPCKHPD    Z13, Z12, Z12
	VSHUFF64X2   $0x88, Z11, Z14, Z9
	VSHUFF64X2   $0x88, Z12, Z16, Z10
	VSHUFF64X2   $0xdd, Z11, Z14, Z11
	VSHUFF64X2   $0xdd, Z12, Z16, Z12
	VMULPD       Z8, Z10, Z10
	VADDPD       Z10, Z9, Z9
	VMULPD       Z4, Z9, Z9
	VMULPD       Z8, Z12, Z12
	VADDPD       Z12, Z11, Z11
	VMULPD       Z4, Z11, Z11
	CMPQ         BX, $+8
	JLT          addPlain512Rest
	VADDPD       (AX), Z9, Z9
	VMOVUPD      Z9, (AX)
	ADDQ         $+64, AX
	VADDPD       (CX), Z11, Z11
	VMOVUPD      Z11, (CX)
	ADDQ         $+64, CX
	SUBQ         $+8, BX
	JNE          addPlain512Cells
	VZEROUPPER
	RET

// Adds the light of the last cells, fewer than eight, under a mask.
addPlain512Rest:
	MOVQ      $0x000000ff, DX
	BZHIQ     BX, DX, DX
	KMOVW     DX, K1
	VMOVUPD.Z (AX), K1, Z13
	VADDPD    Z13, Z9, Z9
	VMOVUPD   Z9, K1, (AX)
	VMOVUPD.Z (CX), K1, Z13
	VADDPD    Z13, Z11, Z11
	VMOVUPD   Z11, K1, (CX)
	VZEROUPPER
	RET

// func addPlain256(lux *float64, ppfd *float64, table *float64, cells int, row *float64)
// Requires: AVX, AVX2
TEXT ·addPlain256(SB), NOSPLIT, $576-40
	MOVQ         lux+0(FP), AX
	MOVQ         ppfd+8(FP), CX
	MOVQ         table+16(FP), DX
	MOVQ         cells+24(FP), BX
	MOVQ         row+32(FP), SI
	LEAQ         (SP), DI
	ADDQ         $+63, DI
	ANDQ         $-64, DI
	VBROADCASTSD (SI), Y0
	VBROADCASTSD 8(SI), Y1
	VBROADCASTSD 16(SI), Y2
	VBROADCASTSD 24(SI), Y3
	VBROADCASTSD 32(SI), Y4
	VBROADCASTSD 40(SI), Y5
	VBROADCASTSD 48(SI), Y6
	VBROADCASTSD widths<>+8(SB), Y7
	VADDPD       lanes<>+0(SB), Y1, Y1
	LEAQ         3(BX), R8
	SHRQ         $0x02, R8
	XORQ         SI, SI

// Fills the slots with the first places.
addPlain256Begin:
	VMULPD      Y2, Y1, Y13
	VADDPD      Y0, Y13, Y13
	VADDPD      Y7, Y1, Y1
	VMULPD      Y13, Y13, Y13
	VADDPD      Y3, Y13, Y13
	VADDPD      Y5, Y13, Y14
	VDIVPD      Y14, Y13, Y14
	VMULPD      Y6, Y14, Y14
	VMINPD      Y6, Y14, Y14
	VCVTTPD2DQY Y14, X13
	VPSLLD      $0x05, X13, X13
	VMOVDQU     X13, (DI)(SI*1)
	VROUNDPD    $0x0b, Y14, Y13
	VSUBPD      Y13, Y14, Y13
	VMOVUPD     Y13, 64(DI)(SI*1)
	ADDQ        $+128, SI
	DECQ        R8
	JE          addPlain256Begun
	CMPQ        SI, $+512
	JLT         addPlain256Begin

addPlain256Begun:
	XORQ SI, SI

// Takes the places of four cells from a slot and fills it for later ones.
addPlain256Cells:
	MOVL        (DI)(SI*1), R9
	MOVL        4(DI)(SI*1), R10
	MOVL        8(DI)(SI*1), R11
	MOVL        12(DI)(SI*1), R12
	VMOVUPD     64(DI)(SI*1), Y8
	TESTQ       R8, R8
	JE          addPlain256Placed
	DECQ        R8
	VMULPD      Y2, Y1, Y13
	VADDPD      Y0, Y13, Y13
	VADDPD      Y7, Y1, Y1
	VMULPD      Y13, Y13, Y13
	VADDPD      Y3, Y13, Y13
	VADDPD      Y5, Y13, Y14
	VDIVPD      Y14, Y13, Y14
	VMULPD      Y6, Y14, Y14
	VMINPD      Y6, Y14, Y14
	VCVTTPD2DQY Y14, X13
	VPSLLD      $0x05, X13, X13
	VMOVDQU     X13, (DI)(SI*1)
	VROUNDPD    $0x0b, Y14, Y13
	VSUBPD      Y13, Y14, Y13
	VMOVUPD     Y13, 64(DI)(SI*1)

// Loads the pairs, turns them on their side, goes the way to the next pairs, and adds the light.
addPlain256Placed:
	ADDQ        $+128, SI
	ANDQ        $+511, SI
	VMOVUPD     (DX)(R9*1), X10
	VINSERTF128 $0x01, (DX)(R11*1), Y10, Y10
	VMOVUPD     16(DX)(R9*1), X12
	VINSERTF128 $0x01, 16(DX)(R11*1), Y12, Y12
	VMOVUPD     (DX)(R10*1), X11
	VINSERTF128 $0x01, (DX)(R12*1), Y11, Y11
	VMOVUPD     16(DX)(R10*1), X13
	VINSERTF128 $0x01, 16(DX)(R12*1), Y13, Y13
	VUNPCKLPD   Y11, Y10, Y9
	VUNPCKHPD   Y11, Y10, Y10
	VUNPCKLPD   Y13, Y12, Y11
	VUNPCKHPD   Y13, Y12, Y12
	VMULPD      Y8, Y10, Y10
	VADDPD      Y10, Y9, Y9
	VMULPD      Y4, Y9, Y9
	VMULPD      Y8, Y12, Y12
	VADDPD      Y12, Y11, Y11
	VMULPD      Y4, Y11, Y11
	CMPQ        BX, $+4
	JLT         addPlain256Rest
	VADDPD      (AX), Y9, Y9
	VMOVUPD     Y9, (AX)
	ADDQ        $+32, AX
	VADDPD      (CX), Y11, Y11
	VMOVUPD     Y11, (CX)
	ADDQ        $+32, CX
	SUBQ        $+4, BX
	JNE         addPlain256Cells
	VZEROUPPER
	RET

// Adds the light of the last cells, fewer than four, under a mask.
addPlain256Rest:
	VMOVQ        BX, X14
	VPBROADCASTQ X14, Y14
	VPCMPGTQ     counts<>+0(SB), Y14, Y14
	VMASKMOVPD   (AX), Y14, Y13
	VADDPD       Y13, Y9, Y9
	VMASKMOVPD   Y9, Y14, (AX)
	VMASKMOVPD   (CX), Y14, Y13
	VADDPD       Y13, Y11, Y11
	VMASKMOVPD   Y11, Y14, (CX)
	VZEROUPPER
	RET
