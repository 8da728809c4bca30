using RenderGraph.Nodes.AudioFiles.Samples;

namespace RenderGraph.Nodes.AudioFiles;

/// <summary>
/// The bytes of a stem's sound, in memory for as long as it takes to decode them. A song is read from front to back in small blocks, and the system
/// hands out one large piece for half of what many small ones cost: so one thread alone reads ahead. Several threads take turns with the blocks;
/// what one of them had read ahead would lie in the wrong core's cache, so each reads no more than its own.
/// </summary>
/// <param name="startBytes">Where the sound begins in the file.</param>
/// <param name="endBytes">Where it ends.</param>
internal sealed class StemWindow(StemFile file, long startBytes, long endBytes)
{
    /// <summary>Most bytes that can be asked for at once. A processor's cache has room for as many of several dozen stems.</summary>
    public const int Bytes = 64 * 1024;

    [ThreadStatic]
    private static byte[]? own;

    private readonly int _mostBytes = (int)Math.Min(Bytes, endBytes - startBytes);
    private byte[] _ahead = [];
    private long _aheadStart, _aheadEnd, _next = -1;
    private int _threadId;
    private volatile bool _isShared;

    /// <summary>
    /// The bytes from <paramref name="offset"/> on, with <see cref="SampleDecoder.SlackBytes"/> more behind them. They hold until the same thread
    /// asks the next time.
    /// </summary>
    /// <exception cref="Graph.Contracts.StemException">They are there no longer, or the disk fails.</exception>
    public ReadOnlySpan<byte> At(long offset, int count)
    {
        if (IsShared()) return ReadAlone(offset, count);
        var goesOn = offset == _next;
        _next = offset + count;
        if (offset < _aheadStart || _next > _aheadEnd)
        {
            if (!goesOn) return ReadAlone(offset, count);
            ReadAhead(offset, count);
        }

        return _ahead.AsSpan((int)(offset - _aheadStart), count + SampleDecoder.SlackBytes);
    }

    private ReadOnlySpan<byte> ReadAlone(long offset, int count)
    {
        own ??= new byte[Bytes + SampleDecoder.SlackBytes];
        file.Fill(own.AsSpan(0, count), offset);
        return own.AsSpan(0, count + SampleDecoder.SlackBytes);
    }

    /// <summary>Whether a second thread has come: from then on the first, too, reads for itself.</summary>
    private bool IsShared()
    {
        var first = Interlocked.CompareExchange(ref _threadId, Environment.CurrentManagedThreadId, 0);
        if (first != 0 && first != Environment.CurrentManagedThreadId) _isShared = true;
        return _isShared;
    }

    private void ReadAhead(long offset, int count)
    {
        if (_ahead.Length == 0) _ahead = new byte[_mostBytes + SampleDecoder.SlackBytes];
        // As many whole blocks as there is room for, so that none is read twice.
        var most = (int)Math.Min(_mostBytes / count * count, endBytes - offset);
        _aheadStart = _aheadEnd = offset;
        _aheadEnd += file.Fill(_ahead.AsSpan(0, most), offset, least: count);
    }
}
