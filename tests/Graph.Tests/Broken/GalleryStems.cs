using RenderGraph.Graph.Contracts;
using RenderGraph.Graph.Diagnostics;
using RenderGraph.Testing;

namespace RenderGraph.Graph.Tests.Broken;

/// <summary>The stems of the gallery, good and bad. To begin an output is a fault of the test.</summary>
internal sealed class GalleryStems(string folder) : IAudioFiles
{
    private readonly MemoryAudioFiles _files = new MemoryAudioFiles()
        .With(Stem(folder, "kick.wav"), Signal.Allocate(1, 100))
        .With(Stem(folder, "hiss.wav"), Bursts())
        .With(Stem(folder, "bass.wav"), Signal.Allocate(2, 100))
        .With(Stem(folder, "short.wav"), Signal.Allocate(1, 100))
        .With(Stem(folder, "clocked.wav"), Signal.Allocate(1, 100), timeReferenceFrames: 172_800_000)
        .With(Stem(folder, "hours-later.wav"), Signal.Allocate(1, 100), timeReferenceFrames: 172_800_000 + (48_000L * 9_000))
        .With(Stem(folder, "at-44100.wav"), Signal.Allocate(2, 100), 44100)
        .With(Stem(folder, "at-8000.wav"), Signal.Allocate(1, 100), 8000)
        .WithFault(Stem(folder, "eight.wav"), DiagnosticCode.StemChannels, "the graph asks for its channel 9, but it has 8 channels", "Count from 1 to 8")
        .WithFault(Stem(folder, "locked.wav"), DiagnosticCode.StemUnreadable, "it may not be read: permission is missing", "Allow yourself to read the file and its folder")
        .WithFault(Stem(folder, "text.wav"), DiagnosticCode.StemNotAudio, "it is not a WAV file", "Export the part as a WAV file")
        .WithFault(Stem(folder, "torn.wav"), DiagnosticCode.StemDamaged, "its header contradicts itself", "Export the part again")
        .WithFault(Stem(folder, "short.wav"), DiagnosticCode.StemDamaged, "it ends 12 frames early", "Export the part again", Severity.Warning);

    public IStemReader? OpenStem(StemRequest request, StemReport report) => _files.OpenStem(request, report);

    public IStemReader ConvertRate(IStemReader stem, int sampleRateHz) => _files.ConvertRate(stem, sampleRateHz);

    public IOutputWriter CreateOutput(OutputFormat format) => throw new InvalidOperationException("Loading a graph must write nothing.");

    /// <summary>Noise, now and then: it hits, but on no note.</summary>
    private static Signal Bursts()
    {
        var noise = Signals.Noise(96000);
        for (var frame = 0; frame < noise.Frames; frame++)
            noise[0][frame] *= frame % 24000 < 12000 ? 1 : 0;
        return noise;
    }

    private static string Stem(string folder, string name) => Path.Combine(folder, "stems", name);
}
