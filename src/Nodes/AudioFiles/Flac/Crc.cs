namespace RenderGraph.Nodes.AudioFiles.Flac;

/// <summary>The two checksums of FLAC (RFC 9639, sections 9.1.8 and 9.3): of a frame's header, and of the whole frame.</summary>
internal static class Crc
{
    private static readonly byte[] Table8 = [.. Enumerable.Range(0, 256).Select(one => (byte)Remainder((uint)one, bits: 8, polynomial: 0x07))];
    private static readonly ushort[][] Tables16 = MakeTables16();

    /// <summary>x^8 + x^2 + x + 1.</summary>
    public static byte Of8(ReadOnlySpan<byte> bytes)
    {
        byte crc = 0;
        foreach (var one in bytes)
            crc = Table8[crc ^ one];
        return crc;
    }

    /// <summary>x^16 + x^15 + x^2 + 1; begins with what the bytes before gave. Eight bytes at a time, a table for each place.</summary>
    public static ushort Of16(ReadOnlySpan<byte> bytes, ushort crc)
    {
        uint so = crc;
        while (bytes.Length >= 8)
        {
            so = (uint)(Tables16[7][bytes[0] ^ (so >> 8)] ^ Tables16[6][bytes[1] ^ (so & 0xFF)] ^ Tables16[5][bytes[2]] ^ Tables16[4][bytes[3]]
                ^ Tables16[3][bytes[4]] ^ Tables16[2][bytes[5]] ^ Tables16[1][bytes[6]] ^ Tables16[0][bytes[7]]);
            bytes = bytes[8..];
        }

        foreach (var one in bytes)
            so = ((so << 8) & 0xFFFF) ^ Tables16[0][(so >> 8) ^ one];
        return (ushort)so;
    }

    private static ushort[][] MakeTables16()
    {
        var tables = new ushort[8][];
        tables[0] = [.. Enumerable.Range(0, 256).Select(one => (ushort)Remainder((uint)one, bits: 16, polynomial: 0x8005))];
        for (var place = 1; place < tables.Length; place++)
            tables[place] = [.. tables[place - 1].Select(crc => (ushort)((crc << 8) ^ tables[0][crc >> 8]))];
        return tables;
    }

    private static uint Remainder(uint one, int bits, uint polynomial)
    {
        var crc = one << (bits - 8);
        for (var bit = 0; bit < 8; bit++)
            crc = (crc & (1u << (bits - 1))) != 0 ? (crc << 1) ^ polynomial : crc << 1;
        return crc & ((1u << bits) - 1);
    }
}
