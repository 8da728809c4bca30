using NVorbis;
using RenderGraph.Graph.Contracts;
using RenderGraph.Nodes.AudioFiles.Decoding;
using static System.FormattableString;

namespace RenderGraph.Nodes.AudioFiles.Vorbis;

/// <summary>Decodes an Ogg Vorbis file with NVorbis.</summary>
internal sealed class VorbisDecoder : ISequentialDecoder, IDisposable
{
    private readonly StemFile _file;
    private readonly float[] _samples;
    private VorbisReader _reader;
    private long _at;

    /// <exception cref="StemException">Its headers cannot be decoded.</exception>
    public VorbisDecoder(StemFile file)
    {
        _file = file;
        _reader = Guard(Begin);
        _samples = new float[MostFrames * Channels];
    }

    /// <summary>In the file.</summary>
    public int Channels => _reader.Channels;

    /// <summary>Frames a second.</summary>
    public int SampleRateHz => _reader.SampleRate;

    /// <inheritdoc/>
    public int MostFrames => 4096;

    /// <inheritdoc/>
    public int Decode(Signal into)
    {
        var count = Guard(() => _reader.ReadSamples(_samples, 0, _samples.Length)) / Channels;
        for (var channel = 0; channel < Channels; channel++)
        {
            var plane = into[channel];
            for (var frame = 0; frame < count; frame++)
                plane[frame] = _samples[(frame * Channels) + channel];
        }

        _at += count;
        return count;
    }

    /// <inheritdoc/>
    /// <remarks>Always from the beginning: a jump by the library is another way through the file, and need not give the same bits.</remarks>
    public long Seek(long frame)
    {
        if (frame >= _at) return _at;
        _reader.Dispose();
        _reader = Guard(Begin);
        return _at = 0;
    }

    /// <inheritdoc/>
    public void Dispose() => _reader.Dispose();

    private VorbisReader Begin() => new(new StemStream(_file, _file.TagBytes), closeOnDispose: true) { ClipSamples = false };

    /// <summary>Puts into words what the library does with bits that make no sense.</summary>
    private T Guard<T>(Func<T> decode)
    {
        try
        {
            return decode();
        }
        catch (Exception failure) when (failure is IndexOutOfRangeException or ArgumentException or InvalidOperationException or NullReferenceException or ArithmeticException
            or IOException or InvalidDataException or OutOfMemoryException or NotSupportedException or KeyNotFoundException or InvalidCastException)
        {
            throw _file.Damaged(Invariant($"its Vorbis sound cannot be decoded from frame {_at:N0} on"));
        }
    }
}
