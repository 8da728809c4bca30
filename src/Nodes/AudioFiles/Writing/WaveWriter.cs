using System.Runtime.CompilerServices;
using System.Runtime.Intrinsics;
using NAudio.Wave;
using RenderGraph.Graph.Contracts;
using RenderGraph.Nodes.AudioFiles.Samples;
using RenderGraph.Nodes.AudioFiles.Wave;
using static System.FormattableString;

namespace RenderGraph.Nodes.AudioFiles.Writing;

/// <summary>
/// Writes a WAV file, or RF64 past 4 GB, beside its target, and moves it into place last. The header is NAudio's, with the plain format
/// tags (1 for integers, 3 and a fact chunk for floats), since more programs read those than the extensible one, which mono and
/// stereo do not need. The samples are ours.
/// </summary>
internal sealed class WaveWriter : IOutputWriter
{
    /// <summary>Bytes of the longest header: ds64, fmt and fact.</summary>
    private const int MostHeaderBytes = 128;

    private readonly OutputFormat _format;
    private readonly SampleEncoder _encoder;
    private readonly PartFile _file;
    private readonly WaveFileWriter _wave;
    private readonly byte[] _bytes;
    private long _frames;
    private double _peakAmplitude;

    /// <summary>Makes missing folders and the file beside the target.</summary>
    /// <exception cref="OutputException">The target cannot be written.</exception>
    public WaveWriter(OutputFormat format, NewFolders folders)
        : this(format, folders, uint.MaxValue, stream => stream)
    {
    }

    /// <summary>For tests: with another size at which a RIFF file is full, and something between us and the disk.</summary>
    internal WaveWriter(OutputFormat format, NewFolders folders, long mostRiffBytes, Func<Stream, Stream> wrap)
    {
        _format = format;
        _encoder = new(format.Encoding, format.Name);
        var bytesPerFrame = format.Channels * _encoder.Bits / 8;
        _bytes = new byte[(SampleEncoder.MostFrames * bytesPerFrame) + SampleEncoder.SlackBytes];
        var origin = format.Origin is { } note ? BroadcastChunk.Of(format, note.Bytes.Span) : null;
        var cues = CueChunks.Of(format);
        var chunkBytes = ChunkBytes(origin) + ChunkBytes(cues?.Cues) + ChunkBytes(cues?.Labels);
        var bytes = (format.LengthFrames * bytesPerFrame) + MostHeaderBytes + chunkBytes;
        _file = new(format.Path, bytes, folders, wrap);
        var wave = format.Encoding == SampleEncoding.Float32
            ? WaveFormat.CreateIeeeFloatWaveFormat(format.SampleRateHz, format.Channels)
            : new WaveFormat(format.SampleRateHz, _encoder.Bits, format.Channels);
        var options = new WaveFileWriterOptions
        {
            // Room for the larger header is only kept in a file that may need it.
            EnableRf64 = bytes > mostRiffBytes,
            Rf64PromotionThreshold = mostRiffBytes,
        };
        try
        {
            _wave = new WaveFileWriter(_file.Stream, wave, options);
            if (origin is not null) _wave.AddChunk("bext", origin, ChunkPosition.BeforeData);
            if (cues is not var (points, labels)) return;
            _wave.AddChunk("cue ", points, ChunkPosition.AfterData);
            _wave.AddChunk("LIST", labels, ChunkPosition.AfterData);
        }
        catch (Exception failure) when (PartFile.IsFailure(failure))
        {
            _file.Dispose();
            throw _file.Failed(failure);
        }
    }

    /// <inheritdoc/>
    public void Write(Signal signal)
    {
        ArgumentOutOfRangeException.ThrowIfNotEqual(signal.Channels, _format.Channels, nameof(signal));
        ArgumentOutOfRangeException.ThrowIfGreaterThan(_frames + signal.Frames, _format.LengthFrames, nameof(signal));
        Check(signal);
        for (var done = 0; done < signal.Frames; done += SampleEncoder.MostFrames)
        {
            var part = signal.Slice(done, Math.Min(SampleEncoder.MostFrames, signal.Frames - done));
            _encoder.Encode(part, _format.FirstFrame + _frames, _bytes);
            try
            {
                _wave.Write(_bytes.AsSpan(0, part.Frames * part.Channels * _encoder.Bits / 8));
                _file.WriteOn();
            }
            catch (Exception failure) when (PartFile.IsFailure(failure))
            {
                throw _file.Failed(failure);
            }

            _frames += part.Frames;
        }
    }

    /// <inheritdoc/>
    public OutputSummary Finish()
    {
        try
        {
            _wave.Dispose();
            _file.Stream.Position = 1;
            var container = _file.Stream.ReadByte() == 'F' ? "RF64" : "WAV";
            _file.Finish();
            return new(_frames, _peakAmplitude, _encoder.ClippedSamples, container);
        }
        catch (Exception failure) when (PartFile.IsFailure(failure))
        {
            throw _file.Failed(failure);
        }
    }

    /// <inheritdoc/>
    public void Commit() => _file.Commit();

    /// <inheritdoc/>
    /// <remarks>NAudio's writer is left as it is: it would patch the header of a file that is about to go, on a disk that is perhaps full.</remarks>
    public void Dispose() => _file.Dispose();

    private static int ChunkBytes(byte[]? content) => content is null ? 0 : 8 + content.Length + (content.Length & 1);

    /// <summary>Finds the peak, and refuses what is no finite number before anything of the block is written.</summary>
    private void Check(Signal signal)
    {
        var most = _format.Encoding == SampleEncoding.Float32 ? float.MaxValue : double.MaxValue;
        var peak = _peakAmplitude;
        for (var channel = 0; channel < signal.Channels; channel++)
            peak = Math.Max(peak, Peak(signal[channel]));
        if (!(peak <= most))
        {
            var frame = _format.FirstFrame + _frames + FirstPast(signal, most);
            throw new OutputException(_format.Path, Invariant($"frame {frame:N0} of the song is no finite number, or too large for a file"),
                "Lower what is fed into the output, or bypass its nodes one by one to find the one that runs away");
        }

        _peakAmplitude = peak;
    }

    /// <summary>The first frame that is not within the limit.</summary>
    private static int FirstPast(Signal signal, double limit)
    {
        for (var frame = 0; frame < signal.Frames; frame++)
        {
            for (var channel = 0; channel < signal.Channels; channel++)
            {
                if (!(Math.Abs(signal[channel][frame]) <= limit)) return frame;
            }
        }

        return signal.Frames;
    }

    /// <summary>Largest absolute sample; not a number if one is none.</summary>
    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    private static double Peak(ReadOnlySpan<double> plane)
    {
        var peak = 0.0;
        var i = 0;
        if (Vector256.IsHardwareAccelerated)
        {
            var four = Vector256<double>.Zero;
            for (; i <= plane.Length - 4; i += 4)
                four = Vector256.Max(four, Vector256.Abs(Vector256.Create(plane[i..])));
            for (var lane = 0; lane < 4; lane++)
                peak = Math.Max(peak, four[lane]);
        }

        for (; i < plane.Length; i++)
            peak = Math.Max(peak, Math.Abs(plane[i]));
        return peak;
    }
}
