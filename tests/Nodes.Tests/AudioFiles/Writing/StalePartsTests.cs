using RenderGraph.Graph.Contracts;
using RenderGraph.Nodes.AudioFiles;
using RenderGraph.Testing;
using Xunit;

namespace RenderGraph.Nodes.Tests.AudioFiles.Writing;

/// <summary>What a killed render leaves, the next one takes away; nothing else.</summary>
public sealed class StalePartsTests : IDisposable
{
    private readonly TempFolder _folder = new();

    public void Dispose() => _folder.Dispose();

    [Fact]
    public void TheNextRenderTakesAwayWhatAKilledOneLeft()
    {
        string[] stale = [".mix.wav.part", ".other.WAV.part", ".0123456789abcdef.part"];
        string[] others = [".notes.txt.part", "mix.wav.part", ".mix.wav", ".part", ".wav.parts", ".0123456789ABCDEF.part", "mix.wav"];
        foreach (var name in stale.Concat(others))
            File.WriteAllText(_folder[name], "half of something");

        Written.To(_folder["new.wav"], SampleEncoding.Pcm16, Signals.Noise(10));

        Assert.All(stale, name => Assert.False(File.Exists(_folder[name]), name));
        Assert.All(others, name => Assert.Equal("half of something", File.ReadAllText(_folder[name])));
    }

    [Fact]
    public void APartThatIsBeingWrittenStays()
    {
        using var running = new DiskAudioFiles().CreateOutput(Written.Format(_folder["long.wav"], SampleEncoding.Pcm16, Signals.Noise(10)));
        running.Write(Signals.Noise(10));

        Written.To(_folder["short.wav"], SampleEncoding.Pcm16, Signals.Noise(10));

        running.Finish();
        running.Commit();
        Assert.Equal(Signals.Noise(10).Frames, Opened.At(_folder["long.wav"]).Format!.LengthFrames);
    }

    [Fact]
    public void TwoRendersDoNotWriteOneFile()
    {
        var format = Written.Format(_folder["mix.wav"], SampleEncoding.Pcm16, Signals.Noise(10));
        using var first = new DiskAudioFiles().CreateOutput(format);
        var failure = Assert.Throws<OutputException>(() => new DiskAudioFiles().CreateOutput(format));
        Assert.Equal($"{_folder["mix.wav"]}: RG403: another render is writing it just now. Wait until that has ended, or choose another folder.", failure.Message);

        first.Write(Signals.Noise(10));
        first.Finish();
        first.Commit();
        Assert.Empty(Opened.At(_folder["mix.wav"]).Said);
    }

    [Fact]
    public void AStemThatIsNamedLikeAPartStays()
    {
        Written.To(_folder["kick.wav"], SampleEncoding.Pcm16, Signals.Noise(10));
        File.Move(_folder["kick.wav"], _folder[".kick.wav.part"]);
        using var stem = new DiskAudioFiles().OpenStem(new(_folder[".kick.wav.part"]), (_, _, sentence, _) => Assert.Fail(sentence));

        Written.To(_folder["mix.wav"], SampleEncoding.Pcm16, Signals.Noise(10));

        Assert.True(File.Exists(_folder[".kick.wav.part"]));
    }

    [Fact]
    public void ALinkNamedLikeAPartIsRemovedAndWhatItLeadsToStays()
    {
        if (OperatingSystem.IsWindows())
            return;
        File.WriteAllText(_folder["kick.wav"], "the only take");
        File.CreateSymbolicLink(_folder[".old.wav.part"], _folder["kick.wav"]);

        Written.To(_folder["mix.wav"], SampleEncoding.Pcm16, Signals.Noise(10));

        Assert.False(new FileInfo(_folder[".old.wav.part"]).Exists);
        Assert.Equal("the only take", File.ReadAllText(_folder["kick.wav"]));
    }
}
