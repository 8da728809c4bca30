using System.Security.Cryptography;
using System.Text.Json;
using RenderGraph.Graph.Contracts;
using RenderGraph.Nodes.Measures;
using RenderGraph.Songs;
using Xunit;

namespace RenderGraph.Cli.Tests.Recipes;

/// <summary>Each recipe on generated songs of its situation, from the song's folder to finished files.</summary>
public sealed class RecipeRenderTests : IDisposable
{
    private const int SampleRateHz = 24_000, Songs = 4;
    private const double Seconds = 5;

    private readonly TempFolder _folder = new();

    public static TheoryData<Situation> Situations => [.. Enum.GetValues<Situation>()];

    [Theory]
    [MemberData(nameof(Situations))]
    public void GatesHoldTheMixDoesNotClipAndTheMonitorHasTheMixesGain(Situation situation)
    {
        for (var number = 1; number <= Songs; number++)
        {
            var song = Writer(situation).Write(_folder.Path, number);
            var outFolder = Render(situation, song, $"out {number}", out var report);

            Assert.All(report.GetProperty("gates").EnumerateArray(), gate => Assert.True(gate.GetProperty("state").GetString() == "holds", gate.ToString()));
            var mix = WaveFile.Read(Path.Combine(outFolder, "mix.wav"));
            var monitor = WaveFile.Read(Path.Combine(outFolder, "sub-monitor.wav"));
            Assert.InRange(Peak(mix), 0.05, 0.99);

            // From 30 to 60 Hz a low-pass of fourth order at 120 Hz takes 0.02 dB at most (Butterworth, closed form): the monitor is as loud there as the mix. A limiter's work is short.
            Assert.InRange(Band(monitor) - Band(mix), -0.1, 0.1);
        }
    }

    [Theory]
    [MemberData(nameof(Situations))]
    public void BeforeAndAfterAreEquallyLoudAndTheirLowsHaveTheirGains(Situation situation)
    {
        var outFolder = Render(situation, Writer(situation).Write(_folder.Path, 1), "out", out _);
        var (before, after) = (Loudness("before.wav"), Loudness("after.wav"));
        Assert.InRange(before - after, -0.1, 0.1);
        Assert.InRange(Band(Read("before-low.wav")) - Band(Read("before.wav")), -0.1, 0.1);
        Assert.InRange(Band(Read("after-low.wav")) - Band(Read("after.wav")), -0.1, 0.1);

        Signal Read(string name) => WaveFile.Read(Path.Combine(outFolder, "compare", name));

        double Loudness(string name)
        {
            var run = CommandRun.Of("measure", Path.Combine(outFolder, "compare", name), "--json");
            return JsonDocument.Parse(run.Out).RootElement.GetProperty("files")[0].GetProperty("integratedLufs").GetDouble();
        }
    }

    [Theory]
    [MemberData(nameof(Situations))]
    public void ASongOfTheAnchorAloneLosesEverythingElseAndStillRenders(Situation situation)
    {
        var song = Writer(situation).Write(_folder.Path, 1);
        var whole = CommandRun.Of("bind", RecipeFile.Of(situation), song, "--out", _folder["whole.json"], "--json");
        var anchor = JsonDocument.Parse(whole.Out).RootElement.GetProperty("stems").EnumerateArray()
            .Single(stem => stem.GetProperty("recipeStem").GetString() == AnchorOf(situation)).GetProperty("file").GetString()!;
        foreach (var file in Directory.EnumerateFiles(song).Where(file => Path.GetFileName(file) != anchor).ToList())
            File.Delete(file);

        var bind = CommandRun.Of("bind", RecipeFile.Of(situation), song, "--out", _folder["alone.json"]);
        Assert.Equal((0, ""), (bind.ExitCode, bind.Error));
        Assert.Contains("dropped", bind.Out, StringComparison.Ordinal);
        var outFolder = Render(situation, song, "alone", out _, "--threads", "1");
        Assert.True(Peak(WaveFile.Read(Path.Combine(outFolder, "mix.wav"))) > 0.05);
    }

    [Theory]
    [MemberData(nameof(Situations))]
    public void TheSameBytesComeOutTwiceAndOnOneThread(Situation situation)
    {
        var song = Writer(situation).Write(_folder.Path, 2);
        var once = Hashes(Render(situation, song, "once", out _));
        Assert.Equal(once, Hashes(Render(situation, song, "again", out _, "--threads", "1", "--block-frames", "500")));
    }

    [Theory]
    [MemberData(nameof(Situations))]
    public void OddNamesAreNoObstacle(Situation situation)
    {
        var writer = new SongWriter(situation, seed: 3, seconds: 2, SampleRateHz, isOdd: true);
        for (var number = 1; number <= 8; number++)
            Render(situation, writer.Write(_folder.Path, number), $"odd {number}", out _);
    }

    public void Dispose() => _folder.Dispose();

    private static SongWriter Writer(Situation situation) => new(situation, seed: 7, Seconds, SampleRateHz, isOdd: false);

    private string Render(Situation situation, string song, string name, out JsonElement report, params string[] options)
    {
        var graph = _folder[$"{name}.json"];
        var bind = CommandRun.Of("bind", RecipeFile.Of(situation), song, "--out", graph, "--force");
        Assert.True(bind.ExitCode == 0, bind.Error);
        var render = CommandRun.Of(["render", graph, "--allow-outside", "--json", "--out", _folder[name], .. options]);
        Assert.True(render.ExitCode == 0, render.Error + render.Out);
        report = JsonDocument.Parse(render.Out).RootElement;
        return _folder[name];
    }

    private static string AnchorOf(Situation situation) => situation switch { Situation.BassLedWithoutKick => "bass", Situation.SpokenWordWithMusicBed => "voice", _ => "kick" };

    private static double Band(Signal signal) => BandLevels.Of(signal, SampleRateHz)[1]!.Value;

    private static double Peak(Signal signal)
    {
        var peak = 0.0;
        for (var channel = 0; channel < signal.Channels; channel++)
        {
            foreach (var sample in signal[channel])
                peak = Math.Max(peak, Math.Abs(sample));
        }

        return peak;
    }

    private static IReadOnlyList<string> Hashes(string folder) =>
        [.. Directory.EnumerateFiles(folder, "*.wav", SearchOption.AllDirectories).Order(StringComparer.Ordinal).Select(file => Convert.ToHexString(SHA256.HashData(File.ReadAllBytes(file))))];
}
