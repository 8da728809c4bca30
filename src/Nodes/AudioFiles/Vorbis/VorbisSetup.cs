using System.Numerics;

namespace RenderGraph.Nodes.AudioFiles.Vorbis;

/// <summary>
/// Looks through the codebooks of a Vorbis stream before they are built (Vorbis I specification, section 3.2.1): a few bits can ask for
/// gigabytes, and the decoder would try.
/// </summary>
internal static class VorbisSetup
{
    /// <summary>Numbers in all tables together; encoders need some ten thousands.</summary>
    private const long MostNumbers = 1 << 22;

    private const string Unreadable = "its codebooks cannot be read";

    /// <summary>What is wrong with the third packet, or null.</summary>
    public static string? Fault(ReadOnlySpan<byte> packet)
    {
        if (!packet.StartsWith("\u0005vorbis"u8)) return "its third packet is no Vorbis setup";
        var bits = new Bits(packet[7..]);
        var books = bits.Read(8) + 1;
        long numbers = 0;
        for (var book = 0u; book < books; book++)
        {
            if (bits.Read(24) != 0x564342) return Unreadable;
            var (dimensions, entries) = (bits.Read(16), bits.Read(24));
            numbers += entries * Math.Max(1L, dimensions);
            if (numbers > MostNumbers) return "its codebooks ask for more memory than any encoder's";
            if (!SkipLengths(ref bits, entries)) return Unreadable;
            var lookup = bits.Read(4);
            if (lookup > 2) return Unreadable;
            if (lookup == 0) continue;
            bits.Skip(64);
            var valueBits = bits.Read(4) + 1;
            bits.Skip(1);
            bits.Skip((lookup == 1 ? Lookup1Values(entries, dimensions) : (long)entries * dimensions) * valueBits);
            if (bits.IsPastEnd) return Unreadable;
        }

        return null;
    }

    /// <summary>Passes over the lengths of a book's codes; false if they are none.</summary>
    private static bool SkipLengths(ref Bits bits, uint entries)
    {
        if (bits.Read(1) != 0)
        {
            bits.Skip(5);
            for (long at = 0; at < entries;)
            {
                at += bits.Read(32 - BitOperations.LeadingZeroCount((uint)(entries - at)));
                if (at > entries || bits.IsPastEnd) return false;
            }

            return true;
        }

        var isSparse = bits.Read(1) != 0;
        for (var entry = 0u; entry < entries && !bits.IsPastEnd; entry++)
        {
            if (!isSparse || bits.Read(1) != 0) bits.Skip(5);
        }

        return !bits.IsPastEnd;
    }

    /// <summary>The greatest number whose power by the dimensions is not more than the entries (section 9.2.3).</summary>
    private static long Lookup1Values(uint entries, uint dimensions)
    {
        if (dimensions == 0) return 0;
        long root = 0;
        while (IsPowerWithin(root + 1, dimensions, entries))
            root++;
        return root;
    }

    private static bool IsPowerWithin(long number, uint exponent, long most)
    {
        long power = 1;
        for (var i = 0u; i < exponent && power <= most; i++)
        {
            power *= number;
            if (number == 1) break;
        }

        return power <= most;
    }

    /// <summary>Bits, lowest first (section 2.1). Past the end come zeros.</summary>
    private ref struct Bits(ReadOnlySpan<byte> bytes)
    {
        private readonly ReadOnlySpan<byte> _bytes = bytes;
        private long _at;

        public readonly bool IsPastEnd => _at > _bytes.Length * 8L;

        public void Skip(long bits) => _at += bits;

        public uint Read(int bits)
        {
            var value = 0u;
            for (var bit = 0; bit < bits; bit++, _at++)
            {
                if (_at / 8 < _bytes.Length) value |= (uint)(_bytes[(int)(_at / 8)] >> (int)(_at & 7) & 1) << bit;
            }

            return value;
        }
    }
}
