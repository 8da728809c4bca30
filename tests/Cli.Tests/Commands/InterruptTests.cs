using Xunit;

namespace RenderGraph.Cli.Tests.Commands;

/// <summary>Signals to the real process, in the middle of a long render. Systems without POSIX signals have nothing to test here.</summary>
[Collection(UsesTheDemo.Name)]
public sealed class InterruptTests(DemoFixture demo)
{
    private const int Times = 12; // of 20 seconds
    private const string OldSound = "the sound of yesterday";

    [Theory]
    [InlineData("INT")]
    [InlineData("TERM")]
    public void ASignalEndsALongRenderWithCode130AndLeavesEverythingAsItWas(string signal)
    {
        if (OperatingSystem.IsWindows())
            return;

        using var folder = new TempFolder();
        Directory.CreateDirectory(folder["stems"]);
        foreach (var stem in new[] { "kick.wav", "sub.wav", "voice.wav" })
            WaveFile.Write(folder[Path.Combine("stems", stem)], WaveFile.Read(demo.Graph(Path.Combine("stems", stem))), Times);
        File.Copy(demo.Graph("pocket-radio.json"), folder["pocket-radio.json"]);
        Directory.CreateDirectory(folder["out"]);
        folder.Write(Path.Combine("out", "pocket.wav"), OldSound);
        var before = folder.Names;

        // One worker and small blocks: slow enough to be caught in the middle.
        using var render = ProgramProcess.Start(folder.Path, "render", "pocket-radio.json", "--out", "out", "--threads", "1", "--block-frames", "64");
        var part = new FileInfo(folder[Path.Combine("out", ".pocket.wav.part")]);
        while (!render.HasExited && !(part.Exists && part.Length > 100_000))
        {
            Thread.Sleep(5);
            part.Refresh();
        }

        Assert.False(render.HasExited, "the render was over before it could be interrupted");
        render.Signal(signal);
        var run = render.End();

        Assert.Equal(130, run.ExitCode);
        Assert.Equal("Interrupted: nothing half-written is left behind.\n", run.Error);
        Assert.Empty(run.Out);
        Assert.Equal(before, folder.Names);
        Assert.Equal(OldSound, File.ReadAllText(folder[Path.Combine("out", "pocket.wav")]));
    }

    [Theory]
    [InlineData("render")]
    [InlineData("demo")]
    public void InterruptedBeforeItBeginsItWritesNothing(string command)
    {
        using var folder = new TempFolder();
        string[] arguments = command == "render" ? ["render", demo.MainGraph, "--out", folder["out"]] : ["demo", "--out", folder["out"]];
        var run = CommandRun.Of(new CancellationToken(canceled: true), arguments);
        Assert.Equal(130, run.ExitCode);
        Assert.Equal("Interrupted: nothing half-written is left behind.\n", run.Error);
        Assert.DoesNotContain(folder.Names, name => name.EndsWith(".wav", StringComparison.Ordinal) || name.EndsWith(".part", StringComparison.Ordinal));
    }
}
