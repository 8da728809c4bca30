using System.Runtime.CompilerServices;
using System.Runtime.InteropServices;

namespace RenderGraph.Nodes.AudioFiles.Flac;

/// <summary>One channel of a block (RFC 9639, section 9.2): whole numbers, exact.</summary>
internal static class FlacSubframe
{
    private const int MostOrder = 32;

    /// <summary>Decodes; false if the bits cannot be a channel's.</summary>
    /// <param name="bits">Of a sample, 4 to 33.</param>
    public static bool Decode(FlacBits from, int bits, Span<long> into)
    {
        if (from.Read(1) != 0) return false;
        var type = (int)from.Read(6);
        var wasted = 0;
        if (from.Read(1) != 0)
        {
            var more = from.ReadUnary();
            if (more >= bits - 1) return false;
            wasted = (int)more + 1;
            bits -= wasted;
        }

        var isGood = type switch
        {
            0 => DecodeConstant(from, bits, into),
            1 => DecodeVerbatim(from, bits, into),
            >= 8 and <= 12 => DecodeFixed(from, bits, type - 8, into),
            >= 32 => DecodePredicted(from, bits, type - 31, into),
            _ => false,
        };
        if (wasted > 0)
        {
            for (var i = 0; i < into.Length; i++)
                into[i] <<= wasted;
        }

        return isGood && !from.IsPastEnd;
    }

    private static bool DecodeConstant(FlacBits from, int bits, Span<long> into)
    {
        into.Fill(from.ReadSigned(bits));
        return true;
    }

    private static bool DecodeVerbatim(FlacBits from, int bits, Span<long> into)
    {
        for (var i = 0; i < into.Length; i++)
            into[i] = from.ReadSigned(bits);
        return true;
    }

    /// <summary>Polynomials of order 0 to 4 (section 9.2.5).</summary>
    private static bool DecodeFixed(FlacBits from, int bits, int order, Span<long> into)
    {
        if (!ReadResidual(from, bits, order, into)) return false;
        switch (order)
        {
            case 1:
                for (var i = 1; i < into.Length; i++)
                    into[i] += into[i - 1];
                break;
            case 2:
                for (var i = 2; i < into.Length; i++)
                    into[i] += (2 * into[i - 1]) - into[i - 2];
                break;
            case 3:
                for (var i = 3; i < into.Length; i++)
                    into[i] += (3 * (into[i - 1] - into[i - 2])) + into[i - 3];
                break;
            case 4:
                for (var i = 4; i < into.Length; i++)
                    into[i] += (4 * (into[i - 1] + into[i - 3])) - (6 * into[i - 2]) - into[i - 4];
                break;
        }

        return true;
    }

    /// <summary>Linear prediction (section 9.2.6).</summary>
    private static bool DecodePredicted(FlacBits from, int bits, int order, Span<long> into)
    {
        if (order >= into.Length) return false;
        for (var i = 0; i < order; i++)
            into[i] = from.ReadSigned(bits);
        var precision = (int)from.Read(4) + 1;
        var shift = (int)from.ReadSigned(5);
        if (precision == 16 || shift < 0) return false;
        Span<long> weights = stackalloc long[MostOrder];
        for (var i = 0; i < order; i++)
            weights[order - 1 - i] = from.ReadSigned(precision); // the last sample's comes first in the file
        if (!ReadResidual(from, bits: 0, order, into)) return false;
        Predict(weights[..order], shift, into);
        return true;
    }

    private static void Predict(ReadOnlySpan<long> weights, int shift, Span<long> into)
    {
        ref var weight = ref MemoryMarshal.GetReference(weights);
        ref var sample = ref MemoryMarshal.GetReference(into);
        var order = weights.Length;
        for (var i = 0; i < into.Length - order; i++)
        {
            long sum = 0, other = 0;
            var k = 0;
            for (; k < order - 1; k += 2)
            {
                sum += Unsafe.Add(ref weight, k) * Unsafe.Add(ref sample, i + k);
                other += Unsafe.Add(ref weight, k + 1) * Unsafe.Add(ref sample, i + k + 1);
            }

            if (k < order) sum += Unsafe.Add(ref weight, k) * Unsafe.Add(ref sample, i + k);
            Unsafe.Add(ref sample, i + order) += (sum + other) >> shift;
        }
    }

    /// <summary>The first samples, unless they are there already (bits 0), and what the prediction leaves, in Rice code (section 9.2.7).</summary>
    private static bool ReadResidual(FlacBits from, int bits, int order, Span<long> into)
    {
        if (order > into.Length) return false;
        if (bits > 0)
        {
            for (var i = 0; i < order; i++)
                into[i] = from.ReadSigned(bits);
        }

        var method = from.Read(2);
        if (method > 1) return false;
        var parameterBits = method == 0 ? 4 : 5;
        var escape = (1u << parameterBits) - 1;
        var partitionOrder = (int)from.Read(4);
        var partitionFrames = into.Length >> partitionOrder;
        if (partitionFrames << partitionOrder != into.Length || partitionFrames < order) return false;
        for (int at = order, end = partitionFrames; end <= into.Length; at = end, end += partitionFrames)
        {
            var parameter = from.Read(parameterBits);
            if (parameter != escape)
            {
                if (!from.ReadRice(into[at..end], (int)parameter)) return false;
            }
            else
            {
                var plainBits = (int)from.Read(5);
                for (var i = at; i < end; i++)
                    into[i] = from.ReadSigned(plainBits);
            }

            if (from.IsPastEnd) return false;
        }

        return true;
    }
}
