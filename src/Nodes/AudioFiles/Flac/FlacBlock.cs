using RenderGraph.Graph.Contracts;

namespace RenderGraph.Nodes.AudioFiles.Flac;

/// <summary>Decodes block after block (RFC 9639, section 9), each checked by its own checksums; whether a block is the right one is for others to know.</summary>
internal sealed class FlacBlock(FlacStreamInfo info)
{
    private readonly long[][] _planes = [.. Enumerable.Range(0, info.Channels).Select(_ => new long[info.MostBlockFrames])];
    private FlacBlockHeader _header;

    /// <summary>First frame of the block decoded last.</summary>
    public long FirstFrame => _header.FirstFrame;

    /// <summary>Its frames.</summary>
    public int Frames => _header.Frames;

    /// <summary>Decodes the block that begins at the next byte.</summary>
    /// <returns>Null, or what is wrong with it, to follow "the block at ...".</returns>
    public string? Decode(FlacBits from)
    {
        from.BeginCheck();
        if (FlacBlockHeader.Read(from.Peek(FlacBlockHeader.MostBytes), info) is not { } header) return "has no header, or a broken one";
        _header = header;
        from.Skip(header.Bytes);
        for (var channel = 0; channel < info.Channels; channel++)
        {
            var isSide = header.ChannelCode == 9 ? channel == 0 : header.ChannelCode > 7 && channel == 1;
            if (!FlacSubframe.Decode(from, info.Bits + (isSide ? 1 : 0), _planes[channel].AsSpan(0, header.Frames)))
                return from.IsPastEnd ? "is cut off by the end of the file" : "cannot be decoded";
        }

        if (!from.Align()) return "cannot be decoded";
        var checksum = from.Check();
        if (from.Read(16) != checksum || from.IsPastEnd) return from.IsPastEnd ? "is cut off by the end of the file" : "does not match its checksum (CRC-16)";
        if (header.ChannelCode > 7) Unite(header.ChannelCode, _planes[0].AsSpan(0, header.Frames), _planes[1].AsSpan(0, header.Frames));
        return AreWithinBounds() ? null : "holds samples that do not fit into their bits";
    }

    /// <summary>One channel of the block decoded last.</summary>
    public ReadOnlySpan<long> this[int channel] => _planes[channel].AsSpan(0, Frames);

    /// <summary>Full scale being 1.</summary>
    public void CopyTo(Signal into)
    {
        var factor = 1.0 / (1L << (info.Bits - 1));
        for (var channel = 0; channel < info.Channels; channel++)
        {
            var plane = this[channel];
            var target = into[channel][..plane.Length];
            for (var frame = 0; frame < plane.Length; frame++)
                target[frame] = plane[frame] * factor;
        }
    }

    /// <summary>Left and right from a sum and a difference (section 4.2).</summary>
    private static void Unite(int channelCode, Span<long> first, Span<long> second)
    {
        second = second[..first.Length];
        for (var i = 0; i < first.Length; i++)
        {
            switch (channelCode)
            {
                case 8: second[i] = first[i] - second[i]; break;
                case 9: first[i] += second[i]; break;
                default:
                    var twice = (first[i] << 1) | (second[i] & 1);
                    (first[i], second[i]) = ((twice + second[i]) >> 1, (twice - second[i]) >> 1);
                    break;
            }
        }
    }

    private bool AreWithinBounds()
    {
        var half = 1UL << (info.Bits - 1);
        for (var channel = 0; channel < info.Channels; channel++)
        {
            var past = 0UL;
            foreach (var sample in this[channel])
                past |= (ulong)sample + half;
            if (past >> info.Bits != 0) return false;
        }

        return true;
    }
}
