using RenderGraph.Graph.Document;
using RenderGraph.Graph.Locks;
using Xunit;

namespace RenderGraph.Graph.Tests.Locks;

public sealed class StalenessTests
{
    private static IReadOnlyList<ContentHash?> Untouched => [SampleLock.Content(3)];

    private static List<string> Reasons(string graph, RenderLock? locked = null, IReadOnlyList<ContentHash?>? outputs = null, Func<GraphState, GraphState>? change = null)
    {
        var render = locked ?? SampleLock.Make();
        var state = SampleLock.State(graph, render);
        return [.. Staleness.Reasons(render, change is null ? state : change(state), () => outputs ?? Untouched).Select(reason => reason.Sentence)];
    }

    private static string Edit(string from, string to)
    {
        Assert.Contains(from, SampleLock.Graph, StringComparison.Ordinal);
        return SampleLock.Graph.Replace(from, to, StringComparison.Ordinal);
    }

    [Fact]
    public void WhatIsAsItWasHolds() => Assert.Empty(Reasons(SampleLock.Graph));

    [Fact]
    public void WordsOrderMeasuresLeftOutAndGatesAreNoReason()
    {
        Assert.Empty(Reasons(Edit("\"title\": \"Low Lantern\",", "// another name\n \"title\": \"High Lantern\",")));
        Assert.Empty(Reasons(Edit("\"in\": \"bass\", \"frequencyHz\": \"anchor\", \"depthDb\": 9", "\"depthDb\": 9.0, \"frequencyHz\": \"anchor\", \"in\": \"bass\"")));
        Assert.Empty(Reasons(Edit("\"atMost\": -1", "\"atMost\": -3, \"why\": \"room for the master\"")));
        Assert.Empty(Reasons(Edit(", \"measure\": true", "")));
    }

    [Fact]
    public void ADefaultMayBeWrittenOutOrLeftOut()
    {
        Assert.Empty(Reasons(Edit("\"depthDb\": 9", "\"depthDb\": 9, \"q\": 2")));
        Assert.Empty(Reasons(Edit("\"depthDb\": 9", "\"depthDb\": 9, \"key\": \"kick\"")));
    }

    [Theory]
    [InlineData("\"depthDb\": 9", "\"depthDb\": 7", "node \"room\": depthDb was 9, and is 7 now")]
    [InlineData("\"frequencyHz\": 30", "\"frequencyHz\": 35", "step \"lean.1\": frequencyHz was 30, and is 35 now")]
    [InlineData("\"gainDb\": -1.5", "\"gainDb\": -2", "stem \"bass\": gainDb was -1.5, and is -2 now")]
    [InlineData(", \"gainDb\": -1.5", "", "stem \"bass\": gainDb was -1.5, and is left out now")]
    [InlineData("\"file\": \"mix.wav\"", "\"file\": \"mix.wav\", \"encoding\": \"pcm16\"", "output \"mix\": encoding was left out, and is \"pcm16\" now")]
    [InlineData("\"tempoBpm\": 96", "\"tempoBpm\": 97", "tempoBpm was 96, and is 97 now")]
    [InlineData("\"mix\": { \"type\": \"mix\"", "\"more\": { \"type\": \"gain\", \"in\": \"kick\", \"gainDb\": 1 }, \"mix\": { \"type\": \"mix\"", "node \"more\" is new")]
    [InlineData("\"gainDb\": -2", "\"gainDb\": -3", "node \"mix\": in was [\"kick\", { \"from\": \"lean\", \"gainDb\": -2 }], and is [\"kick\", { \"from\": \"lean\", \"gainDb\": -3 }] now")]
    public void AnythingThatAByteHangsOnIsAReasonInTheGraphsOwnWords(string from, string to, string expected) => Assert.Equal([expected], Reasons(Edit(from, to)));

    [Fact]
    public void ANumberOfTheAnchorReachesEveryNodeThatTakesItAndWithoutItsHitsACutFollows() => Assert.Equal(
        [
            "the anchor: frequencyHz was \"measure\", and is 60 now", "node \"room\": frequencyHz was 51.5, and is 60 now", "node \"room\": holdMs was 100, and is 40 now",
            "node \"room\": mode was \"hits\", and is \"follow\" now", "node \"room\": releaseMs was 140, and is 80 now",
        ],
        Reasons(Edit("\"frequencyHz\": \"measure\"", "\"frequencyHz\": 60")));

    [Fact]
    public void EngineVersionsAndNodeVersionsAreReasons()
    {
        var render = SampleLock.Make();
        Assert.Equal([$"engine 0.0.9 rendered it, and this is {RenderLock.ThisEngine}"], Reasons(SampleLock.Graph, render with { EngineVersion = "0.0.9" }));
        var older = render.Graph.ToDictionary(value => value.Key, value => value.Key == "nodes/room/version" ? "0" : value.Value);
        Assert.Equal([$"node \"room\": its type had version 0, and has {render.Graph["nodes/room/version"]} now"], Reasons(SampleLock.Graph, render with { Graph = older }));
    }

    [Fact]
    public void InputsAreHeldByTheirContent()
    {
        Assert.Equal(["input stems/bass.wav has changed"], Reasons(SampleLock.Graph, change: state => state with
        {
            Inputs = new Dictionary<string, ContentHash?> { ["stems/kick.wav"] = SampleLock.Content(1), ["stems/bass.wav"] = SampleLock.Content(9) },
        }));
        Assert.Equal(["input stems/kick.wav is not there, or cannot be read"], Reasons(SampleLock.Graph, change: state => state with
        {
            Inputs = new Dictionary<string, ContentHash?> { ["stems/kick.wav"] = null, ["stems/bass.wav"] = SampleLock.Content(2) },
        }));
    }

    [Fact]
    public void OutputsThatAreGoneOrWereChangedAreReasonsThatRenderingPutsRight()
    {
        var render = SampleLock.Make();
        Assert.Equal(["output mix.wav is not there"], Reasons(SampleLock.Graph, outputs: [null]));
        Assert.Equal(["output mix.wav is not what was rendered"], Reasons(SampleLock.Graph, outputs: [SampleLock.Content(4)]));
        Assert.All(Staleness.Reasons(render, SampleLock.State(SampleLock.Graph, render), () => [null]), reason => Assert.True(reason.IsOnlyAnOutput));
    }

    [Fact]
    public void AMeasureThatWasNotTakenIsAReason() => Assert.Equal(
        ["samplePeakDbfs of \"bass\" was not measured"], Reasons(Edit("\"gainDb\": -1.5", "\"gainDb\": -1.5, \"measure\": [\"samplePeakDbfs\"]")));

    [Fact]
    public void AnAnchorMeasuredAnewIsHeldAgainstTheLock()
    {
        var known = SampleLock.Make().Anchor!;
        Assert.Empty(Reasons(SampleLock.Graph, change: state => state with { MeasuredAnchor = known with { } }));
        Assert.Equal(
            ["the anchor was measured at 51.5 Hz, and is measured at 53 Hz now"],
            Reasons(SampleLock.Graph, change: state => state with { MeasuredAnchor = known with { Frequency = known.Frequency! with { FrequencyHz = 53 } } }));
        Assert.Equal(
            ["the anchor had 2 hits, and has 1 now, not all where they were"],
            Reasons(SampleLock.Graph, change: state => state with { MeasuredAnchor = known with { Hits = [new(4800, 1)] } }));
    }

    [Fact]
    public void WhoOnlyDecidesStopsAtTheFirstReasonAndLooksAtNoOutput()
    {
        var render = SampleLock.Make();
        var state = SampleLock.State(Edit("\"depthDb\": 9", "\"depthDb\": 7"), render);
        Assert.True(Staleness.Reasons(render, state, () => throw new InvalidOperationException("outputs were looked at")).Any());
        Assert.Single(Staleness.Reasons(null, state, () => throw new InvalidOperationException("outputs were looked at")));
    }

    [Fact]
    public void TheAnchorIsKeptWhileItsStemAndWhatIsSaidOfItAreTheSame()
    {
        var render = SampleLock.Make();
        Assert.True(SampleLock.State(SampleLock.Graph, render).KeepsAnchorOf(render));
        Assert.True(SampleLock.State(Edit("\"depthDb\": 9", "\"depthDb\": 7"), render).KeepsAnchorOf(render));
        Assert.False(SampleLock.State(Edit("\"kick\": { \"file\": \"stems/kick.wav\"", "\"kick\": { \"file\": \"stems/kick.wav\", \"gainDb\": 1"), render).KeepsAnchorOf(render));
        Assert.False(SampleLock.State(SampleLock.Graph, render).KeepsAnchorOf(render with { Inputs = new Dictionary<string, ContentHash> { ["stems/kick.wav"] = SampleLock.Content(8) } }));
        Assert.False(SampleLock.State(SampleLock.Graph, render).KeepsAnchorOf(render with { Anchor = null }));
    }

    [Fact]
    public void EverythingThatTellsAPointFromAnotherIsInItsKey()
    {
        var point = SampleLock.Read(SampleLock.Graph).Measured[0];
        foreach (var property in typeof(MeasuredPoint).GetProperties().Where(property => property.CanWrite && property.Name is not ("At" or "Meters" or "Measures")))
        {
            var other = point with { };
            var was = property.GetValue(other);
            property.SetValue(other, Type.GetTypeCode(property.PropertyType) switch
            {
                TypeCode.Boolean => !(bool)was!,
                TypeCode.String => "another",
                _ when property.PropertyType == typeof(PointKind) => was is PointKind.Output ? PointKind.Signal : PointKind.Output,
                _ when property.PropertyType == typeof(Stretch?) => new Stretch(1, 2),
                _ when Nullable.GetUnderlyingType(property.PropertyType) is { IsEnum: true } choices => Enum.GetValues(choices).GetValue(0),
                _ when property.PropertyType.IsEnum => Enum.GetValues(property.PropertyType).Cast<object>().First(value => !value.Equals(was)),
                _ => throw new NotSupportedException(property.Name),
            });
            Assert.True(point.Key != other.Key, $"{property.Name} is not in the key");
        }
    }

    [Fact]
    public void EveryValueOfTheGraphIsHeldOrKnownToHaveNoEffect()
    {
        // Each value in turn becomes another; what is told of none must be words, measures or gates.
        var without = new List<string>();
        var document = SampleLock.Read(SampleLock.Graph);
        Walk(document.Root, "");
        Assert.Equal(["title", "stems.kick.measure", "expect"], without);

        void Walk(JsonObject body, string path)
        {
            foreach (var member in body.Members)
            {
                if (member.Value is JsonObject inner)
                    Walk(inner, path + member.Name + ".");
                else if (EffectiveGraph.Of(document with { Root = With(document.Root, (path + member.Name).Split('.')) }).SequenceEqual(EffectiveGraph.Of(document)) && !path.StartsWith("nodes.", StringComparison.Ordinal))
                    without.Add(path + member.Name);
            }
        }

        static JsonObject With(JsonObject body, string[] path) => body with
        {
            Members = [.. body.Members.Select(member => member.Name != path[0] ? member
                : member with { Value = path.Length == 1 ? new JsonText(default, "another") : With((JsonObject)member.Value, path[1..]) })],
        };
    }
}
