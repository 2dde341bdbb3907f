"""The two passes of mmi.py as CUDA kernels, one block an utterance: the same numbers, a hundred times sooner."""

from __future__ import annotations

import functools

import torch
from mmi import FLOOR

_SOURCE = r"""
#define NEG -1e30f
__device__ __forceinline__ float logadd(float a, float b) {
    float m = fmaxf(a, b), n = fminf(a, b);
    return n < -1e29f ? m : m + log1pf(__expf(n - m));
}
__device__ float block_sum(float v, float* part) {
    for (int o = 16; o; o >>= 1) v += __shfl_xor_sync(0xffffffffu, v, o);
    __syncthreads();
    if ((threadIdx.x & 31) == 0) part[threadIdx.x >> 5] = v;
    __syncthreads();
    float s = 0;
    for (int k = 0; k < (blockDim.x >> 5); k++) s += part[k];
    return s;
}
extern "C" __global__ void den_forward(const float* first, const float* again, const int* lengths, const float* A,
        const float* start, float* alpha, float* enter, float* scale, int T, int U) {
    extern __shared__ float mem[];
    float *M = mem, *a = mem + U * U, *part = a + U;
    int b = blockIdx.x, j = threadIdx.x, n = lengths[b];
    for (int k = j; k < U * U; k += blockDim.x) M[k] = A[k];
    if (j < U) a[j] = 0;
    __syncthreads();
    for (int t = 0; t < n; t++) {
        size_t at = ((size_t)b * T + t) * U + j;
        float en = 0, now = 0;
        if (j < U) {
            if (t) { for (int k = 0; k < U; k++) en += a[k] * M[k * U + j]; now = a[j] * again[at]; }
            else en = start[j];
            now += en * first[at];
        }
        float s = block_sum(now, part);
        if (j < U) { a[j] = now / s; alpha[at] = now / s; enter[at] = en; }
        if (j == 0) scale[(size_t)b * T + t] = s;
        __syncthreads();
    }
}
extern "C" __global__ void den_backward(const float* first, const float* again, const int* lengths, const float* A,
        const float* alpha, const float* enter, const float* scale, float* grad, int T, int U) {
    extern __shared__ float mem[];
    float *M = mem, *g = mem + U * U, *part = g + U;
    int b = blockIdx.x, j = threadIdx.x, n = lengths[b];
    for (int k = j; k < U * U; k += blockDim.x) M[k] = A[k];
    __syncthreads();
    float beta = 1.0f;
    for (int t = n - 1; t >= 0; t--) {
        size_t at = ((size_t)b * T + t) * U + j;
        float f = 0, s = 0, gf = 0, gs = 0;
        if (j < U) {
            f = first[at]; s = again[at];
            gf = enter[at] * f * beta;
            gs = t ? alpha[at - U] * s * beta : 0;
        }
        float norm = fmaxf(block_sum(gf + gs, part), 1e-30f);
        if (j < U) {
            size_t out = (((size_t)b * T + t) * U + j) * 2;
            grad[out] = gf / norm; grad[out + 1] = gs / norm;
            g[j] = beta * f;
        }
        __syncthreads();
        if (j < U && t) {
            float v = beta * s;
            for (int k = 0; k < U; k++) v += M[j * U + k] * g[k];
            beta = v / scale[(size_t)b * T + t];
        }
        __syncthreads();
    }
}
extern "C" __global__ void num_both(const float* y, const int* lengths, const int* units, const int* count, const int* skip,
        const float* logA, const float* logstart, float* alpha, float* total, float* grad, int T, int U, int L) {
    extern __shared__ float mem[];
    float *a = mem, *d1 = mem + L + 2, *d2 = d1 + L + 2, *part = d2 + L + 2;
    int b = blockIdx.x, l = threadIdx.x, n = lengths[b], c = count[b];
    const int* u = units + (size_t)b * L; const int* sk = skip + (size_t)b * L;
    bool in = l < c;
    int me = in ? u[l] : 0;
    float s1 = NEG, s2 = NEG;
    if (in && l >= 1) s1 = logA[u[l - 1] * U + me];
    if (in && l >= 2 && sk[l - 1]) s2 = logA[u[l - 2] * U + me];
    if (l < L) { d1[l] = s1; d2[l] = s2; }
    if (l < 2) { d1[L + l] = NEG; d2[L + l] = NEG; a[l] = NEG; }
    __syncthreads();
    const float* yb = y + (size_t)b * T * 2 * U;
    float now = NEG;
    if (in && (l == 0 || (l == 1 && sk[0]))) now = logstart[me] + yb[2 * me];
    if (l < L) { a[l + 2] = now; alpha[((size_t)b * T) * L + l] = now; }
    __syncthreads();
    for (int t = 1; t < n; t++) {
        float v = NEG;
        if (in) {
            float e = logadd(a[l + 1] + s1, a[l] + s2) + yb[(size_t)t * 2 * U + 2 * me];
            v = fmaxf(logadd(a[l + 2] + yb[(size_t)t * 2 * U + 2 * me + 1], e), NEG);
        }
        __syncthreads();
        if (l < L) { a[l + 2] = v; alpha[((size_t)b * T + t) * L + l] = v; }
        __syncthreads();
    }
    float z = a[c + 1];
    if (c >= 2 && sk[c - 1]) z = logadd(z, a[c]);
    if (l == 0) total[b] = z;
    float beta = (in && (l == c - 1 || (l == c - 2 && sk[c - 1]))) ? 0.0f : NEG;
    if (z < -1e20f) return;
    __syncthreads();
    if (l < 2) a[L + l] = NEG;
    for (int t = n - 1; t >= 0; t--) {
        float f = 0, s = 0;
        if (in) { f = yb[(size_t)t * 2 * U + 2 * me]; s = yb[(size_t)t * 2 * U + 2 * me + 1]; }
        if (in && beta > -1e29f) {
            float en = NEG, st = NEG;
            if (t) {
                const float* p = alpha + ((size_t)b * T + t - 1) * L;
                en = logadd((l >= 1 ? p[l - 1] : NEG) + s1, (l >= 2 ? p[l - 2] : NEG) + s2);
                st = p[l] + s;
            } else if (l == 0 || (l == 1 && sk[0])) en = logstart[me];
            float* out = grad + ((size_t)b * T + t) * 2 * U + 2 * me;
            float ge = en + f + beta - z, gs = st + beta - z;
            if (ge > -60) atomicAdd(out, __expf(ge));
            if (gs > -60) atomicAdd(out + 1, __expf(gs));
        }
        if (l < L) a[l] = in ? fmaxf(beta + f, NEG) : NEG;
        __syncthreads();
        if (in && t) beta = fmaxf(logadd(beta + s, logadd(a[l + 1] + d1[l + 1], a[l + 2] + d2[l + 2])), NEG);
        __syncthreads();
    }
}
"""


@functools.cache
def _kernels():  # type: ignore[no-untyped-def]
    import cupy

    module = cupy.RawModule(code=_SOURCE, options=("--std=c++14",))
    return {name: module.get_function(name) for name in ("den_forward", "den_backward", "num_both")}


def _launch(name: str, blocks: int, threads: int, shared: int, *arguments: object) -> None:
    import cupy

    kernel = _kernels()[name]
    if shared > 48_000:
        kernel.max_dynamic_shared_size_bytes = shared
    given = [a.data_ptr() if isinstance(a, torch.Tensor) else cupy.int32(a) for a in arguments]
    with cupy.cuda.Stream.from_external(torch.cuda.current_stream()):
        kernel((blocks,), (threads,), tuple(given), shared_mem=shared)


def denominator(y: torch.Tensor, lengths: torch.Tensor, A: torch.Tensor, start: torch.Tensor) -> tuple[torch.Tensor, torch.Tensor]:
    """As mmi.denominator."""
    B, T, two = y.shape
    U = two // 2
    top = y.amax(-1, keepdim=True)
    e = (y - top).clamp(min=FLOOR).exp()
    first, again = e[..., 0::2].contiguous(), e[..., 1::2].contiguous()
    n = lengths.int().contiguous()
    alpha, enter = torch.empty_like(first), torch.empty_like(first)
    scale = torch.ones(B, T, device=y.device)
    threads = (U + 31) // 32 * 32
    shared = 4 * (U * U + U + 32)
    _launch("den_forward", B, threads, shared, first, again, n, A, start, alpha, enter, scale, T, U)
    grad = torch.zeros_like(y)
    _launch("den_backward", B, threads, shared, first, again, n, A, alpha, enter, scale, grad, T, U)
    live = torch.arange(T, device=y.device)[None] < lengths[:, None]
    return (scale.log() + top.squeeze(-1) * live).sum(1), grad


def numerator(y, lengths, units, count, skip, log_A, log_start):  # type: ignore[no-untyped-def]
    """As mmi.numerator; an utterance too short for its reference has a total below -1e20 and no gradient."""
    B, T, two = y.shape
    L = units.shape[1]
    alpha = torch.empty(B, T, L, device=y.device)
    total = torch.empty(B, device=y.device)
    grad = torch.zeros_like(y)
    threads = (L + 31) // 32 * 32
    _launch("num_both", B, threads, 4 * (3 * (L + 2) + 32), y.contiguous(), lengths.int().contiguous(), units.int().contiguous(),
            count.int().contiguous(), skip.int().contiguous(), log_A.contiguous(), log_start.contiguous(), alpha, total, grad, T, two // 2, L)
    return total, grad


def agree() -> None:
    """Compare with the plain version on random input; raises where they differ."""
    import mmi

    torch.manual_seed(0)
    B, T, U, L = 7, 90, 157, 41
    y = torch.randn(B, T, 2 * U, device="cuda") * 3
    A = torch.rand(U, U, device="cuda") + 0.01
    A /= A.sum(1, keepdim=True)
    start = torch.full((U,), 1 / U, device="cuda")
    lengths = torch.tensor([90, 80, 70, 61, 50, 90, 20], device="cuda")
    units = torch.randint(1, U, (B, L), device="cuda")
    units[:, ::3] = 0
    skip = units == 0
    count = torch.tensor([41, 40, 30, 1, 10, 22, 41], device="cuda")
    skip[3] = False
    for ours, theirs in (
        (denominator(y, lengths, A, start), mmi.denominator(y, lengths, A, start)),
        (numerator(y, lengths, units, count, skip, A.log(), start.log()), mmi.numerator(y, lengths, units, count, skip, A.log(), start.log())),
    ):
        fits = theirs[0] > -1e20
        off = (ours[0] - theirs[0])[fits].abs().max().item()
        slope = (ours[1] - theirs[1])[fits].abs().max().item()
        print(f"kernel off by {off:.2e}, gradient by {slope:.2e}", flush=True)
        if not (off < 0.02 and slope < 2e-3):
            raise SystemExit("the kernels are wrong")


if __name__ == "__main__":
    agree()
