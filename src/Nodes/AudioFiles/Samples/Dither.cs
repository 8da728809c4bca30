using System.Runtime.CompilerServices;
using System.Runtime.Intrinsics;
using System.Text;

namespace RenderGraph.Nodes.AudioFiles.Samples;

/// <summary>
/// Triangular noise of one channel, from -1 to 1 of the output's steps: the difference of two uniform numbers of 16 bits, whose mean is
/// exactly 0. No state: a frame's noise is a hash of the output's name, the channel and the frame's place in the song, so that neither
/// blocks nor the place where a part starts can change it.
/// </summary>
/// <remarks>
/// The hash is a multiply-and-xor-shift mix of 32 bits (constants of the public-domain "lowbias32", from memory) with a second key
/// between its multiplications, which is ours: names and channels then differ in more than a shift. The tests measure what it gives.
/// </remarks>
internal readonly struct Dither
{
    private const uint FirstFactor = 0x7FEB352D, SecondFactor = 0x846CA68B;
    private readonly uint _firstKey, _secondKey;

    /// <summary>For the frames that share the upper half of their number, 2^32 of them.</summary>
    public Dither(ulong seed, int channel, uint upperFrame)
    {
        var key = Mix64(Mix64(seed + (ulong)channel) + upperFrame);
        (_firstKey, _secondKey) = ((uint)key, (uint)(key >> 32));
    }

    /// <summary>A name as a seed: FNV-1a of 64 bits over its UTF-8 bytes (draft-eastlake-fnv).</summary>
    public static ulong Seed(string name)
    {
        var hash = 0xCBF29CE484222325;
        foreach (var one in Encoding.UTF8.GetBytes(name))
            hash = (hash ^ one) * 0x100000001B3;
        return hash;
    }

    /// <summary>The noise of a frame, by the lower half of its number.</summary>
    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public double At(uint frame)
    {
        var x = frame + _firstKey;
        x = (x ^ (x >> 16)) * FirstFactor;
        x = (x ^ (x >> 15) ^ _secondKey) * SecondFactor;
        x ^= x >> 16;
        return ((int)(x & 0xFFFF) - (int)(x >> 16)) * (1.0 / 65536);
    }

    /// <summary>The same of four frames.</summary>
    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public Vector256<double> At(Vector128<uint> frames)
    {
        var x = frames + Vector128.Create(_firstKey);
        x = (x ^ (x >>> 16)) * FirstFactor;
        x = (x ^ (x >>> 15) ^ Vector128.Create(_secondKey)) * SecondFactor;
        x ^= x >>> 16;
        var difference = (x & Vector128.Create(0xFFFFu)).AsInt32() - (x >>> 16).AsInt32();
        return Fours.ToDouble(difference) * (1.0 / 65536);
    }

    /// <summary>The finaliser of splitmix64 (Steele, Lea and Flood 2014; constants from memory).</summary>
    private static ulong Mix64(ulong x)
    {
        x += 0x9E3779B97F4A7C15;
        x = (x ^ (x >> 30)) * 0xBF58476D1CE4E5B9;
        x = (x ^ (x >> 27)) * 0x94D049BB133111EB;
        return x ^ (x >> 31);
    }
}
