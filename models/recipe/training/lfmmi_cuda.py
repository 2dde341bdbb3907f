"""The passes of ``lfmmi`` with their gradients as CUDA kernels, one block an utterance: the same
numbers, far faster.
"""

from __future__ import annotations

import functools
import math
from typing import Any

import torch

from recipe.training import lfmmi
from recipe.training.graphs import MAX_NEIGHBOURS, MOST_STATES
from recipe.training.lfmmi import FLOOR, IMPOSSIBLE, Denominator, NumeratorBatch

THREADS = 512
STATES_A_THREAD = MOST_STATES // THREADS
DEFAULT_SHARED_BYTES = 48_000
"""A kernel that wants more shared memory than this has to say so."""
MAX_OFF, MAX_GRADIENT_OFF = 0.02, 2e-3
"""How far the kernels may be from the reference version."""

_SOURCE = r"""
#define NEG -1e30f
#define MOST_BETA 1e30f  // where nothing gets to, what would follow has no bound
__device__ __forceinline__ float logadd(float a, float b) {
    float m = fmaxf(a, b), n = fminf(a, b);
    return n < -1e29f ? m : m + log1pf(__expf(n - m));
}
__device__ __forceinline__ void block_sums(float& x, float& y, float& z, float* part) {
    for (int o = 16; o; o >>= 1) {
        x += __shfl_xor_sync(0xffffffffu, x, o);
        y += __shfl_xor_sync(0xffffffffu, y, o);
        z += __shfl_xor_sync(0xffffffffu, z, o);
    }
    int warp = threadIdx.x >> 5;
    __syncthreads();
    if ((threadIdx.x & 31) == 0) { part[warp] = x; part[32 + warp] = y; part[64 + warp] = z; }
    __syncthreads();
    x = y = z = 0;
    for (int k = 0; k < (blockDim.x >> 5); k++) { x += part[k]; y += part[32 + k]; z += part[64 + k]; }
}
// e (B, T, V) are probabilities of outputs; alpha (B, T, S); nodes (B, T, 3): what may be entered at t; scale (B, T).
extern "C" __global__ void den_forward(const float* e, const int* lengths, const int* unit, const int* source, const float* weight,
        const float* end, const float* inside, float silence, float* alpha, float* nodes, float* scale, float* last, int T, int V, int S) {
    extern __shared__ float mem[];
    float *a = mem, *row = mem + 2 * S, *part = row + V;
    int b = blockIdx.x, j = threadIdx.x, n = lengths[b];
    int u[PER], src[PER];
    float w[PER], fin[PER], in[PER];
    for (int i = 0; i < PER; i++) {
        int s = j + i * blockDim.x;
        if (s < S) { u[i] = unit[s]; src[i] = source[s]; w[i] = weight[s]; fin[i] = end[s]; in[i] = inside[s]; a[s] = 0; a[S + s] = 0; }
    }
    float ends = 1, ins = 0, next;
    __syncthreads();
    for (int t = 0; t < n; t++) {
        float *now = a + (t & 1) * S, *then = a + ((t + 1) & 1) * S;
        for (int k = j; k < V; k += blockDim.x) row[k] = e[((size_t)b * T + t) * V + k];
        __syncthreads();
        next = (1 - silence) * ends + now[0];
        float all = 0, sum_end = 0, sum_in = 0, got[PER];
        for (int i = 0; i < PER; i++) {
            int s = j + i * blockDim.x;
            if (s < S) {
                float from = src[i] >= 0 ? now[src[i]] : src[i] == -1 ? ends : src[i] == -2 ? next : ins;
                got[i] = now[s] * row[2 * u[i] + 1] + from * w[i] * row[2 * u[i]];
                all += got[i]; sum_end += got[i] * fin[i]; sum_in += got[i] * in[i];
            }
        }
        if (j == 0) { float* at = nodes + ((size_t)b * T + t) * 3; at[0] = ends; at[1] = next; at[2] = ins; }
        block_sums(all, sum_end, sum_in, part);
        for (int i = 0; i < PER; i++) {
            int s = j + i * blockDim.x;
            if (s < S) { then[s] = got[i] / all; alpha[((size_t)b * T + t) * S + s] = got[i] / all; }
        }
        ends = sum_end / all; ins = sum_in / all;
        if (j == 0) scale[(size_t)b * T + t] = all;
    }
    __syncthreads();
    if (j == 0) last[b] = ends + a[(n & 1) * S];
}
extern "C" __global__ void den_backward(const float* e, const int* lengths, const int* unit, const int* source, const float* weight,
        const float* end, const float* inside, const int* child, const int* children, float silence, const float* alpha,
        const float* nodes, const float* scale, float* grad, int T, int V, int S) {
    extern __shared__ float mem[];
    float *enter = mem, *row = mem + S, *sum = row + V, *part = sum + V;
    int b = blockIdx.x, j = threadIdx.x, n = lengths[b];
    int u[PER], src[PER], kid[PER], kids[PER];
    float w[PER], fin[PER], in[PER], beta[PER];
    for (int i = 0; i < PER; i++) {
        int s = j + i * blockDim.x;
        if (s < S) {
            u[i] = unit[s]; src[i] = source[s]; w[i] = weight[s]; fin[i] = end[s]; in[i] = inside[s];
            kid[i] = child[s]; kids[i] = children[s];
            beta[i] = fin[i] + (s == 0);
        }
    }
    for (int k = j; k < V; k += blockDim.x) sum[k] = 0;
    for (int t = n - 1; t >= 0; t--) {
        for (int k = j; k < V; k += blockDim.x) row[k] = e[((size_t)b * T + t) * V + k];
        __syncthreads();
        const float *before = alpha + ((size_t)b * T + t - 1) * S, *node = nodes + ((size_t)b * T + t) * 3;
        float all = 0, to_next = 0, to_inside = 0;
        for (int i = 0; i < PER; i++) {
            int s = j + i * blockDim.x;
            if (s < S) {
                float f = row[2 * u[i]] * beta[i] * w[i], g = row[2 * u[i] + 1] * beta[i];
                float from = src[i] >= 0 ? (t ? before[src[i]] : 0) : node[-1 - src[i]];
                float first = from * f, again = t ? before[s] * g : 0;
                all += first + again;
                if (src[i] == -2) to_next += f;
                if (src[i] == -3) to_inside += f;
                enter[s] = f;
                beta[i] = g;
                if (first > 0) atomicAdd(sum + 2 * u[i], first);
                if (again > 0) atomicAdd(sum + 2 * u[i] + 1, again);
            }
        }
        block_sums(all, to_next, to_inside, part);
        float norm = 1 / fmaxf(all, 1e-30f), to_ends = enter[0] + (1 - silence) * to_next, by = 1 / scale[(size_t)b * T + t];
        for (int k = j; k < V; k += blockDim.x) { grad[((size_t)b * T + t) * V + k] = sum[k] * norm; sum[k] = 0; }
        for (int i = 0; i < PER; i++) {
            int s = j + i * blockDim.x;
            if (s < S) {
                float v = beta[i] + fin[i] * to_ends + in[i] * to_inside + (s == 0 ? to_next : 0);
                for (int k = 0; k < kids[i]; k++) v += enter[kid[i] + k];
                beta[i] = fminf(v * by, MOST_BETA);
            }
        }
        __syncthreads();
    }
}
// y (B, T, V); the clip's states (B, L), those before and after them (B, L, MOST), -1 none, -2 the start or the end.
extern "C" __global__ void num_both(const float* y, const int* lengths, const int* count, const int* unit, const int* kind,
        const int* before, const int* after, float silent, float straight, float* alpha, float* total, float* grad, int T, int V, int L) {
    extern __shared__ float mem[];
    float *a = mem, *other = mem + L, *part = other + L;
    int b = blockIdx.x, l = threadIdx.x, n = lengths[b], c = count[b];
    bool in = l < c;
    int me = 0, bef[MOST], aft[MOST];
    float wb[MOST], wa[MOST];
    const int* k_of = kind + (size_t)b * L;
    for (int k = 0; k < MOST; k++) { bef[k] = aft[k] = -1; wb[k] = wa[k] = 0; }
    if (in) {
        me = unit[(size_t)b * L + l];
        for (int k = 0; k < MOST; k++) {
            int p = bef[k] = before[((size_t)b * L + l) * MOST + k], q = aft[k] = after[((size_t)b * L + l) * MOST + k];
            if (k_of[l] == 2) wb[k] = silent;
            else if (k_of[l] == 1) wb[k] = p >= 0 && k_of[p] == 2 ? 0 : straight;
            if (q >= 0) wa[k] = k_of[q] == 2 ? silent : k_of[q] == 1 && k_of[l] != 2 ? straight : 0;
        }
    }
    const float* yb = y + (size_t)b * T * V;
    float now = in && bef[0] == -2 ? wb[0] + yb[2 * me] : NEG;
    if (l < L) { a[l] = now; alpha[(size_t)b * T * L + l] = now; }
    __syncthreads();
    for (int t = 1; t < n; t++) {
        float v = NEG;
        if (in) {
            float from = NEG;
            for (int k = 0; k < MOST; k++) if (bef[k] >= 0) from = logadd(from, a[bef[k]] + wb[k]);
            v = fmaxf(logadd(a[l] + yb[(size_t)t * V + 2 * me + 1], from + yb[(size_t)t * V + 2 * me]), NEG);
        }
        __syncthreads();
        if (l < L) { a[l] = v; alpha[((size_t)b * T + t) * L + l] = v; }
        __syncthreads();
    }
    bool ends = in && aft[0] == -2;
    if (l < L) other[l] = ends ? a[l] : NEG;
    __syncthreads();
    if (l == 0) {
        float z = NEG;
        for (int k = 0; k < c; k++) z = logadd(z, other[k]);
        total[b] = part[0] = z;
    }
    __syncthreads();
    float z = part[0];
    if (z < -1e20f) return;
    float beta = ends ? 0.0f : NEG;
    for (int t = n - 1; t >= 0; t--) {
        float f = 0, s = 0;
        if (in) { f = yb[(size_t)t * V + 2 * me]; s = yb[(size_t)t * V + 2 * me + 1]; }
        if (in && beta > -1e29f) {
            float enter = NEG, stay = NEG;
            if (t) {
                const float* p = alpha + ((size_t)b * T + t - 1) * L;
                for (int k = 0; k < MOST; k++) if (bef[k] >= 0) enter = logadd(enter, p[bef[k]] + wb[k]);
                stay = p[l] + s;
            } else if (bef[0] == -2) enter = wb[0];
            float* out = grad + ((size_t)b * T + t) * V + 2 * me;
            float ge = enter + f + beta - z, gs = stay + beta - z;
            if (ge > -60) atomicAdd(out, __expf(ge));
            if (gs > -60) atomicAdd(out + 1, __expf(gs));
        }
        if (l < L) a[l] = in ? fmaxf(beta + f, NEG) : NEG;
        __syncthreads();
        if (in && t) {
            float v = beta + s;
            for (int k = 0; k < MOST; k++) if (aft[k] >= 0) v = logadd(v, a[aft[k]] + wa[k]);
            beta = fmaxf(v, NEG);
        }
        __syncthreads();
    }
}
"""


@functools.cache
def _kernels() -> dict[str, Any]:
    import cupy

    given = f"#define PER {STATES_A_THREAD}\n#define MOST {MAX_NEIGHBOURS}\n"
    module = cupy.RawModule(code=given + _SOURCE, options=("--std=c++14",))
    return {name: module.get_function(name) for name in ("den_forward", "den_backward", "num_both")}


def _launch(name: str, size: tuple[int, int, int], *arguments: torch.Tensor | float) -> None:
    """Run a kernel; *size* is its blocks, its threads a block and its shared bytes."""
    import cupy

    kernel = _kernels()[name]
    blocks, threads, shared = size
    if shared > DEFAULT_SHARED_BYTES:
        kernel.max_dynamic_shared_size_bytes = shared
    kinds = {int: cupy.int32, float: cupy.float32}
    given = [
        each.data_ptr() if isinstance(each, torch.Tensor) else kinds[type(each)](each)
        for each in arguments
    ]
    with cupy.cuda.Stream.from_external(torch.cuda.current_stream()):
        kernel((blocks,), (threads,), tuple(given), shared_mem=shared)


def denominator(
    y: torch.Tensor, lengths: torch.Tensor, graph: Denominator
) -> tuple[torch.Tensor, torch.Tensor]:
    """Return (what ``lfmmi.denominator`` returns, its gradient by y)."""
    B, T, V = y.shape
    S = len(graph.unit)
    if S > MOST_STATES:
        raise ValueError(f"{S} states; the kernel holds {MOST_STATES}")
    top = y.amax(-1, keepdim=True)
    e = (y - top).clamp(min=FLOOR).exp().contiguous()
    n = lengths.int().contiguous()
    alpha = torch.empty(B, T, S, device=y.device)
    nodes = torch.empty(B, T, 3, device=y.device)
    scale, last = torch.ones(B, T, device=y.device), torch.empty(B, device=y.device)
    parts = (graph.unit, graph.source, graph.weight, graph.end, graph.inside)
    size = (B, THREADS, 4 * (2 * S + V + 96))
    _launch("den_forward", size, e, n, *parts, graph.silence, alpha, nodes, scale, last, T, V, S)
    gradient = torch.zeros_like(y)
    children = (graph.child, graph.children)
    made = (alpha, nodes, scale, gradient, T, V, S)
    size = (B, THREADS, 4 * (S + 2 * V + 96))
    _launch("den_backward", size, e, n, *parts, *children, graph.silence, *made)
    live = torch.arange(T, device=y.device)[None] < lengths[:, None]
    return ((scale.log() + top.squeeze(-1)) * live).sum(1) + last.log(), gradient


def numerator(
    y: torch.Tensor, lengths: torch.Tensor, said: NumeratorBatch, silence: float
) -> tuple[torch.Tensor, torch.Tensor]:
    """Return (what ``lfmmi.numerator`` returns, its gradient by y).

    An utterance too short for its words has a total below IMPOSSIBLE and no gradient.
    """
    B, T, V = y.shape
    L = said.unit.shape[1]
    alpha = torch.empty(B, T, L, device=y.device)
    total, gradient = torch.empty(B, device=y.device), torch.zeros_like(y)
    parts = (lengths, said.count, said.unit, said.kind, said.before, said.after)
    whole = [each.int().contiguous() for each in parts]
    size = (B, (L + 31) // 32 * 32, 4 * (2 * L + 32))
    weights = (math.log(silence), math.log(1 - silence))
    _launch("num_both", size, y.contiguous(), *whole, *weights, alpha, total, gradient, T, V, L)
    return total, gradient


def check(graph: Denominator, said: NumeratorBatch, outputs: int) -> None:
    """Compare with the reference version on random outputs. Raises :class:`ArithmeticError` where
    they differ.
    """
    torch.manual_seed(0)
    B, T = len(said.count), 150
    y = torch.randn(B, T, outputs, device="cuda") * 3
    lengths = torch.randint(60, T + 1, (B,), device="cuda")
    lengths[0] = T
    silence = graph.silence
    for name, ours, theirs in (
        (
            "denominator",
            denominator(y, lengths, graph),
            lfmmi.with_gradient(lambda x: lfmmi.denominator(x, lengths, graph), y),
        ),
        (
            "numerator",
            numerator(y, lengths, said, silence),
            lfmmi.with_gradient(lambda x: lfmmi.numerator(x, lengths, said, silence), y),
        ),
    ):
        fits = theirs[0] > IMPOSSIBLE
        off = (ours[0] - theirs[0])[fits].abs().max().item()
        slope = (ours[1] - theirs[1])[fits].abs().max().item()
        print(f"{name}: {int(fits.sum())} of {B} fit, off by {off:.2e}, gradient by {slope:.2e}")
        if not (off < MAX_OFF and slope < MAX_GRADIENT_OFF):
            raise ArithmeticError(f"the kernels of the {name} are wrong")
