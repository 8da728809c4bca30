using RenderGraph.Graph.Contracts;
using RenderGraph.Graph.Diagnostics;
using RenderGraph.Nodes.AudioFiles;

namespace RenderGraph.Testing;

/// <summary>Stems and outputs in memory, samples as doubles: what the engine gives is seen before any rounding.</summary>
public sealed class MemoryAudioFiles : IAudioFiles
{
    private readonly Dictionary<string, (int SampleRateHz, Signal Samples, long? TimeReferenceFrames)> _stems = new(StringComparer.Ordinal);
    private readonly Dictionary<string, (DiagnosticCode Code, Severity Severity, string Sentence, string Remedy)> _faults = new(StringComparer.Ordinal);

    /// <summary>What has been committed, by full path.</summary>
    public Dictionary<string, Signal> Outputs { get; } = new(StringComparer.Ordinal);

    /// <summary>Stems opened and not disposed.</summary>
    public int OpenStems { get; private set; }

    /// <summary>Outputs begun and neither committed nor disposed.</summary>
    public int OpenOutputs { get; private set; }

    /// <summary>Called before each read; throw to play a failing disk.</summary>
    public Action<string, long>? BeforeRead { get; init; }

    /// <summary>Puts a stem there.</summary>
    public MemoryAudioFiles With(string path, Signal samples, int sampleRateHz = 48000, long? timeReferenceFrames = null)
    {
        _stems[path] = (sampleRateHz, samples, timeReferenceFrames);
        return this;
    }

    /// <summary>Lets a stem be at fault; with a warning it is read all the same.</summary>
    public MemoryAudioFiles WithFault(string path, DiagnosticCode code, string sentence, string remedy, Severity severity = Severity.Error)
    {
        _faults[path] = (code, severity, sentence, remedy);
        return this;
    }

    public IStemReader? OpenStem(StemRequest request, StemReport report)
    {
        var path = request.Path;
        if (_faults.TryGetValue(path, out var fault))
        {
            report(fault.Code, fault.Severity, fault.Sentence, fault.Remedy);
            if (fault.Severity == Severity.Error)
                return null;
        }

        if (_stems.TryGetValue(path, out var stem))
        {
            OpenStems++;
            return new Reader(this, path, stem.SampleRateHz, stem.Samples, stem.TimeReferenceFrames, Math.Pow(10, request.GainDb / 20));
        }

        report(DiagnosticCode.StemMissing, Severity.Error, "there is no such file", "Check its name and folder");
        return null;
    }

    public IStemReader ConvertRate(IStemReader stem, int sampleRateHz) => new ConvertedStem(stem, new(stem.Format.SampleRateHz, sampleRateHz));

    public IOutputWriter CreateOutput(OutputFormat format) => new Writer(this, format);

    private sealed class Reader(MemoryAudioFiles files, string path, int sampleRateHz, Signal samples, long? timeReferenceFrames, double amplitude) : IStemReader
    {
        public StemFormat Format { get; } = new(sampleRateHz, samples.Channels, samples.Frames, "64-bit float in memory") { TimeReferenceFrames = timeReferenceFrames };

        public void Read(long startFrame, Signal into)
        {
            files.BeforeRead?.Invoke(path, startFrame);
            for (var channel = 0; channel < into.Channels; channel++)
            {
                for (var frame = 0; frame < into.Frames; frame++)
                {
                    var at = startFrame + frame;
                    into[channel][frame] = at >= 0 && at < samples.Frames ? samples[channel][(int)at] * amplitude : 0;
                }
            }
        }

        public void Dispose() => files.OpenStems--;
    }

    private sealed class Writer : IOutputWriter
    {
        private readonly MemoryAudioFiles _files;
        private readonly OutputFormat _format;
        private readonly List<double>[] _written;
        private bool _isClosed;

        public Writer(MemoryAudioFiles files, OutputFormat format)
        {
            (_files, _format) = (files, format);
            _written = [.. Enumerable.Range(0, format.Channels).Select(_ => new List<double>())];
            files.OpenOutputs++;
        }

        public void Write(Signal signal)
        {
            for (var channel = 0; channel < _written.Length; channel++)
                _written[channel].AddRange(signal[channel]);
        }

        public OutputSummary Finish() =>
            new(_written[0].Count, _written.SelectMany(plane => plane).Select(Math.Abs).DefaultIfEmpty(0).Max(), 0, "memory");

        public void Commit()
        {
            var signal = Signal.Allocate(_format.Channels, _written[0].Count);
            for (var channel = 0; channel < _written.Length; channel++)
                _written[channel].CopyTo(signal[channel]);
            _files.Outputs[_format.Path] = signal;
        }

        public void Dispose()
        {
            if (!_isClosed)
                _files.OpenOutputs--;
            _isClosed = true;
        }
    }
}
