using RenderGraph.Graph.Contracts;
using RenderGraph.Nodes.AudioFiles;
using RenderGraph.Nodes.Tests.AudioFiles.Writing;
using RenderGraph.Testing;
using Xunit;

namespace RenderGraph.Nodes.Tests.AudioFiles;

/// <summary>A stem that somebody else works on while it is read.</summary>
public sealed class StemFileTests : IDisposable
{
    private readonly TempFolder _folder = new();

    public StemFileTests() => Written.To(_folder["kick.wav"], SampleEncoding.Pcm16, Signals.Noise(1000));

    public void Dispose() => _folder.Dispose();

    [Theory]
    [InlineData("left alone", false)]
    [InlineData("read by somebody else", false)]
    [InlineData("one byte changed", true)]
    [InlineData("made longer", true)]
    [InlineData("made shorter", true)]
    [InlineData("removed", false)] // what is open can still be read, whole
    [InlineData("replaced", false)]
    public void SaysWhetherItWasOneFileThroughout(string what, bool isTold)
    {
        if (OperatingSystem.IsWindows())
            return; // what is open can be neither removed nor replaced there
        File.SetLastWriteTimeUtc(_folder["kick.wav"], new DateTime(2024, 2, 29, 12, 0, 0, DateTimeKind.Utc));
        using var stem = new DiskAudioFiles().OpenStem(new(_folder["kick.wav"]), (_, _, sentence, _) => Assert.Fail(sentence))!;
        using var converted = new ConvertedStem(stem, new(48000, 44100));
        var read = Signal.Allocate(1, 1000);
        stem.Read(0, read);
        Act(what);

        if (!isTold)
        {
            stem.CheckUnchanged();
            converted.CheckUnchanged();
            return;
        }

        foreach (var asked in new[] { stem, converted })
        {
            var failure = Assert.Throws<StemException>(asked.CheckUnchanged);
            Assert.Equal(
                $"{_folder["kick.wav"]}: RG304: the file was written to while it was read, so the sound may be half old and half new. Render again when nothing writes to it any more.",
                failure.Message);
        }
    }

    private void Act(string what)
    {
        var path = _folder["kick.wav"];
        switch (what)
        {
            case "read by somebody else":
                File.ReadAllBytes(path);
                break;
            case "one byte changed":
                using (var file = new FileStream(path, FileMode.Open, FileAccess.Write, FileShare.ReadWrite))
                {
                    file.Position = 500;
                    file.WriteByte(1);
                }

                break;
            case "made longer":
                File.AppendAllText(path, "more");
                break;
            case "made shorter":
                using (var file = new FileStream(path, FileMode.Open, FileAccess.Write, FileShare.ReadWrite))
                    file.SetLength(1000);
                break;
            case "removed":
                File.Delete(path);
                break;
            case "replaced":
                Written.To(path, SampleEncoding.Pcm24, Signals.Noise(10));
                break;
        }
    }
}
