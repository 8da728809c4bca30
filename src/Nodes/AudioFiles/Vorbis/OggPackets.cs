namespace RenderGraph.Nodes.AudioFiles.Vorbis;

/// <summary>The first packets of an Ogg stream, put together from the pieces in its pages (RFC 3533, section 5).</summary>
internal static class OggPackets
{
    private const int HeadBytes = 27, MostBytes = 1 << 24;

    /// <summary>One of the first packets, counted from 0; null if it does not come within 16 MB. The pages have been checked.</summary>
    public static byte[]? Read(StemFile file, int index)
    {
        var packet = new List<byte>();
        for (var at = file.TagBytes; at < Math.Min(file.LengthBytes, MostBytes);)
        {
            var head = file.Bytes(at, HeadBytes + 255);
            if (head.Length < HeadBytes || head.Length < HeadBytes + head[26]) return null;
            at += HeadBytes + head[26];
            foreach (var segment in head.AsSpan(HeadBytes, head[26]))
            {
                if (index == 0) packet.AddRange(file.Bytes(at, segment));
                at += segment;
                if (segment == 255) continue;
                if (index == 0) return [.. packet];
                index--;
            }
        }

        return null;
    }
}
