using System.Text.Json;
using RenderGraph.Graph.Contracts;
using RenderGraph.Testing;
using Xunit;

namespace RenderGraph.Cli.Tests.Commands;

public sealed class ProposeTests
{
    private static readonly double[] Low = [41.2, 49, 55, 46.2], High = [220, 262, 247, 196];

    [Fact]
    public void ACollidingBassGetsTheSmallestCutThatReachesTheClearance()
    {
        using var song = Song(("kick", PlayedSong.Kick(52, 0.6)), ("bass", PlayedSong.Bass(0.2, Low)), ("voice", PlayedSong.Voice()));
        var six = Propose(song);
        var cut = Assert.Single(six.GetProperty("proposed").EnumerateArray());
        Assert.Equal(("bass", "keyedCut"), (cut.GetProperty("stem").GetString(), cut.GetProperty("kind").GetString()));
        Assert.True(six.GetProperty("before").GetProperty("clearanceDb").GetDouble() < 6);
        Assert.True(six.GetProperty("after").GetProperty("clearanceDb").GetDouble() >= 6);
        var depthDb = cut.GetProperty("number").GetDouble();
        Assert.InRange(depthDb, 0.5, 8);

        var graph = File.ReadAllText(song["clean-up.json"]);
        Assert.Contains(FormattableString.Invariant($"\"depthDb\": {depthDb:0.#}"), graph, StringComparison.Ordinal);
        var more = Propose(song, "--clearance", "7");
        Assert.True(more.GetProperty("proposed")[0].GetProperty("number").GetDouble() > depthDb);
    }

    [Fact]
    public void TheGraphThatIsWrittenSaysWhyAndRenders()
    {
        using var song = Song(("kick", PlayedSong.Kick(52, 0.6)), ("bass", PlayedSong.Bass(0.2, Low)), ("sub 2", PlayedSong.Bass(0.3, Low)));
        Propose(song);
        var graph = File.ReadAllText(song["clean-up.json"]);
        Assert.Contains("// Found, confidence ", graph, StringComparison.Ordinal);
        Assert.Contains("while it hits, it makes room. Tried: ", graph, StringComparison.Ordinal);
        var run = CommandRun.Of("render", song["clean-up.json"]);
        Assert.Equal((0, ""), (run.ExitCode, run.Error));
        Assert.True(File.Exists(song[Path.Combine("render", "mix.wav")]) && File.Exists(song[Path.Combine("render", "sub-monitor.wav")]));

        // What was rendered is not taken for a stem, and what is proposed is the same again.
        CommandRun.Of("propose", song.Path, "--force");
        Assert.Equal(graph, File.ReadAllText(song["clean-up.json"]));
    }

    /// <summary>The gates of a proposal hold when it is rendered, and tell whoever undoes it.</summary>
    [Fact]
    public void WhoeverUndoesTheCutIsToldByAGate()
    {
        using var song = Song(("kick", PlayedSong.Kick(52, 0.6)), ("bass", PlayedSong.Bass(0.2, Low)), ("voice", PlayedSong.Voice()));
        Propose(song);
        var graph = File.ReadAllText(song["clean-up.json"]);
        Assert.Contains("\"expect\": [", graph, StringComparison.Ordinal);
        var kept = CommandRun.Of("render", song["clean-up.json"]);
        Assert.Equal((0, ""), (kept.ExitCode, kept.Error));
        Assert.Contains("holds", kept.Out, StringComparison.Ordinal);

        song.Write("undone.json", graph.Replace("\"type\": \"keyedCut\"", "\"bypass\": true, \"type\": \"keyedCut\"", StringComparison.Ordinal));
        var undone = CommandRun.Of("render", song["undone.json"]);
        Assert.Equal(1, undone.ExitCode);
        Assert.Matches(@"RG501: clearanceDb of output ""mix"" is -?\d+\.\d+ at 0:\d\d\.\d{3}, where ""bass"" is the loudest stem beside the anchor, but must be at least \d+\.\d+\. It is \d+\.\d+ dB too low: \d\.\d dB was reached, -?\d+\.\d dB without the treatment\.", undone.Error);
    }

    [Fact]
    public void OnACleanSongNothingIsProposed()
    {
        using var song = Song(("kick", PlayedSong.Kick(52, 0.6)), ("bass", PlayedSong.Bass(0.1, High)), ("voice", PlayedSong.Voice()));
        var run = CommandRun.Of("propose", song.Path);
        Assert.Equal((0, ""), (run.ExitCode, run.Error));
        Assert.Contains("Already clean, nothing proposed", run.Out, StringComparison.Ordinal);
        Assert.False(File.Exists(song["clean-up.json"]));
        Assert.True(Propose(song).GetProperty("alreadyClean").GetBoolean());
    }

    [Fact]
    public void OfSixKicksOneOrTwoAreKept()
    {
        using var song = Song(
            [.. Enumerable.Range(0, 6).Select(index => ($"layer{index}", PlayedSong.Kick(46 + (4 * index), (index == 4 ? -1 : 1) * (0.3 - (0.03 * index)), 0.5 * index))), ("bass", PlayedSong.Bass(0.1, High))]);
        var muted = Propose(song).GetProperty("proposed").EnumerateArray().Count(treatment => treatment.GetProperty("kind").GetString() == "mute");
        Assert.InRange(muted, 4, 5);
    }

    [Fact]
    public void AFlippedLayerIsTurnedOverAndALateOneShifted()
    {
        using var song = Song(("kick", PlayedSong.Kick(52, 0.4)), ("under", PlayedSong.Kick(52, -0.3)), ("bass", PlayedSong.Bass(0.1, High)));
        var flip = Assert.Single(Propose(song).GetProperty("proposed").EnumerateArray());
        Assert.Equal(("under", "polarity"), (flip.GetProperty("stem").GetString(), flip.GetProperty("kind").GetString()));

        using var late = Song(("kick", PlayedSong.Kick(52, 0.4)), ("room", PlayedSong.Kick(52, 0.3, laterMs: 7)), ("bass", PlayedSong.Bass(0.1, High)));
        var shift = Assert.Single(Propose(late).GetProperty("proposed").EnumerateArray());
        Assert.Equal(("room", "delay"), (shift.GetProperty("stem").GetString(), shift.GetProperty("kind").GetString()));
        Assert.Equal(-7, shift.GetProperty("number").GetDouble(), 0.05);
    }

    [Fact]
    public void WithoutDrumsItSaysThatThereIsNoOnePlace()
    {
        using var song = Song(("bass", PlayedSong.Bass(0.3, Low)), ("voice", PlayedSong.Voice()));
        var run = CommandRun.Of("propose", song.Path);
        Assert.Equal(0, run.ExitCode);
        Assert.Contains("bass owns the low end, but its hits do not agree on a frequency", run.Out.ReplaceLineEndings(" ").Replace("   ", " ", StringComparison.Ordinal).Replace("  ", " ", StringComparison.Ordinal), StringComparison.Ordinal);
        Assert.False(File.Exists(song["clean-up.json"]));
    }

    [Fact]
    public void SilenceAndALoneVoiceGiveNoProposalAndNoFault()
    {
        using var silence = Song(("one", Signals.Silence(48_000)), ("two", Signals.Silence(100)));
        Assert.Contains("nobody can be said to own the low end", Propose(silence).GetProperty("refusal").GetString(), StringComparison.Ordinal);
        using var voice = Song(("voice", PlayedSong.Voice()));
        Assert.Equal(JsonValueKind.Null, Propose(voice).GetProperty("graph").ValueKind);
    }

    [Fact]
    public void AGraphThatIsThereIsOnlyOverwrittenByForce()
    {
        using var song = Song(("kick", PlayedSong.Kick(52, 0.6)), ("bass", PlayedSong.Bass(0.2, Low)));
        song.Write("clean-up.json", "mine");
        var run = CommandRun.Of("propose", song.Path).Without(song.Path);
        Assert.Equal(
            (4, "", "clean-up.json: RG403: this file is there already, and would be overwritten. Allow it with --force, or name another with --out.\n"),
            (run.ExitCode, run.Out, run.Error));
        Assert.Equal("mine", File.ReadAllText(song["clean-up.json"]));
        Assert.Equal(0, CommandRun.Of("propose", song.Path, "--force").ExitCode);
        Assert.NotEqual("mine", File.ReadAllText(song["clean-up.json"]));
    }

    [Fact]
    public void TheGraphMayLieAboveTheStemsAndTheAnchorMayBeNamed()
    {
        using var song = new TempFolder();
        Directory.CreateDirectory(song["stems"]);
        WaveFile.Write(song[Path.Combine("stems", "kick.wav")], PlayedSong.Kick(52, 0.6));
        WaveFile.Write(song[Path.Combine("stems", "bass.wav")], PlayedSong.Bass(0.2, Low));
        var run = CommandRun.Of("propose", song["stems"], "--out", song["song.json"], "--anchor", "kick");
        Assert.Equal((0, ""), (run.ExitCode, run.Error));
        Assert.Contains("\"file\": \"stems/kick.wav\"", File.ReadAllText(song["song.json"]), StringComparison.Ordinal);
        Assert.Equal(0, CommandRun.Of("check", song["song.json"]).ExitCode);

        run = CommandRun.Of("propose", song["stems"], "--anchor", "kik");
        Assert.Equal((2, "--anchor: RG202: there is no stem \"kik\". Did you mean kick?\n"), (run.ExitCode, run.Error));
    }

    /// <summary>
    /// A part 3 dB under the anchor and in phase with it: cutting it by c dB takes the peak from 1 + 10^(-3/20) to 1 + 10^(-(3 + c)/20). That is common arithmetic, 20 log10 of the sums: 1.1, 1.4, 2.0 and
    /// 2.5 dB. The keyed cut is the product's own, measured as a proposal measures it: on a render.
    /// </summary>
    [Theory]
    [InlineData(3, 1.1)]
    [InlineData(4, 1.4)]
    [InlineData(6, 2.0)]
    [InlineData(8, 2.5)]
    public void ACutOfAPartInPhaseSavesThePeakThatArithmeticSays(double depthDb, double savedDb)
    {
        using var song = Song(
            ("kick", Signals.Sine(60, 48_000, 4 * 48_000, 0.4)), ("bass", Signals.Sine(60, 48_000, 4 * 48_000, 0.4 * Math.Pow(10, -3 / 20.0))));
        song.Write("song.json", FormattableString.Invariant($$"""
            { "format": 1, "stems": { "kick": { "file": "kick.wav" }, "bass": { "file": "bass.wav" } }, "anchor": { "stem": "kick", "frequencyHz": 60 },
              "nodes": { "room": { "type": "keyedCut", "in": "bass", "frequencyHz": "anchor", "depthDb": {{depthDb}}, "bypass": false }, "mix": { "type": "mix", "in": ["kick", "room"] } },
              "outputs": { "mix": { "in": "mix", "file": "after/mix.wav", "encoding": "float32" } } }
            """));
        Assert.Equal(0, CommandRun.Of("render", song["song.json"]).ExitCode);
        var after = WaveFile.Read(song[Path.Combine("after", "mix.wav")]);
        var before = 0.4 * (1 + Math.Pow(10, -3 / 20.0));

        // Away from the tone's own beginning and end.
        var peak = 0.0;
        foreach (var sample in after[0][48_000..(3 * 48_000)])
            peak = Math.Max(peak, Math.Abs(sample));
        Assert.Equal(savedDb, 20 * Math.Log10(before / peak), 0.1);
        Assert.Equal(20 * Math.Log10(before / (0.4 * (1 + Math.Pow(10, -(3 + depthDb) / 20)))), 20 * Math.Log10(before / peak), 0.02);
    }

    private static TempFolder Song(params (string Name, Signal Samples)[] stems)
    {
        var folder = new TempFolder();
        foreach (var (name, samples) in stems)
            WaveFile.Write(folder[$"{name}.wav"], samples, encoding: SampleEncoding.Float32);
        return folder;
    }

    private static JsonElement Propose(TempFolder song, params string[] options)
    {
        var run = CommandRun.Of(["propose", song.Path, "--json", "--force", .. options]);
        Assert.Equal((0, ""), (run.ExitCode, run.Error));
        return JsonDocument.Parse(run.Out).RootElement;
    }
}
