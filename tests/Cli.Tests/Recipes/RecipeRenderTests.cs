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
    public void GatesHoldTheVerdictIsGoodTheMixDoesNotClipAndTheMonitorHasTheMixesGain(Situation situation)
    {
        var verdicts = new List<string>();
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
            verdicts.Add(report.GetProperty("verdict").GetProperty("kind").GetString()!);
        }

        // Not every song is helped by one recipe: that a verdict says so is its use. A bed that goes down under speech is no case for it: see the recipe's page.
        if (situation != Situation.SpokenWordWithMusicBed)
            Assert.True(verdicts.Count(kind => kind == "helped") >= Songs - 1, string.Join(", ", verdicts));
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
    public void ASongOfTwoPartsLosesWhatTheRecipeHasForOthersAndStillHolds(Situation situation)
    {
        var song = Writer(situation).Write(_folder.Path, 1);
        var whole = CommandRun.Of("bind", RecipeFile.Of(situation), song, "--out", _folder["whole.json"], "--json");
        var stems = JsonDocument.Parse(whole.Out).RootElement.GetProperty("stems").EnumerateArray()
            .Select(stem => (Name: stem.GetProperty("recipeStem").GetString()!, File: stem.GetProperty("file").GetString()!)).ToList();
        var anchor = situation switch { Situation.BassLedWithoutKick => "bass", Situation.SpokenWordWithMusicBed => "voice", _ => "kick" };
        string[] kept = [stems.Single(stem => stem.Name == anchor).File, stems.Last(stem => stem.Name != anchor).File];
        foreach (var file in stems.Select(stem => stem.File).Except(kept))
            File.Delete(Path.Combine(song, file));

        var bind = CommandRun.Of("bind", RecipeFile.Of(situation), song, "--out", _folder["two.json"]);
        Assert.Equal((0, ""), (bind.ExitCode, bind.Error));
        Assert.Contains("which is not there", bind.Out, StringComparison.Ordinal);
        var outFolder = Render(situation, song, "two", out _);
        Assert.True(Peak(WaveFile.Read(Path.Combine(outFolder, "mix.wav"))) > 0.05);
    }

    [Theory]
    [InlineData(Situation.KickLedElectronic)]
    [InlineData(Situation.LiveBand)]
    [InlineData(Situation.BassLedWithoutKick)]
    [InlineData(Situation.PracticeRoomWithBleed)]
    public void AMixThatASongMakesTooLoudFailsTheGateAndSaysWhatToDo(Situation situation)
    {
        var song = Writer(situation).Write(_folder.Path, 1);
        File.WriteAllText(Path.Combine(song, "song.json"), """{ "nodes": { "mix": { "gainDb": 3 } } }""");
        Assert.Equal(0, CommandRun.Of("bind", RecipeFile.Of(situation), song, "--out", _folder["loud.json"]).ExitCode);
        var render = CommandRun.Of("render", _folder["loud.json"], "--allow-outside", "--out", _folder["loud"]);
        Assert.Equal(1, render.ExitCode);
        Assert.Contains("lower the mix's gainDb", render.Out + render.Error, StringComparison.Ordinal);
    }

    [Fact]
    public void AnElectronicSubIsHeardBetterOnASmallSpeaker()
    {
        for (var number = 1; number <= Songs; number++)
        {
            Render(Situation.KickLedElectronic, Writer(Situation.KickLedElectronic).Write(_folder.Path, number), $"small {number}", out var report);
            var desk = report.GetProperty("smallSpeakers").EnumerateArray().First();
            Assert.Equal(("subHeard", 150), (desk.GetProperty("node").GetString(), desk.GetProperty("speakerHz").GetInt32()));
            Assert.InRange(desk.GetProperty("afterLufs").GetDouble() - desk.GetProperty("beforeLufs").GetDouble(), 2, 10);
        }
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
