using System.Globalization;

namespace RenderGraph.Graph.Diagnostics;

/// <summary>
/// Every rule that can be broken, by number: 1xx the text, 2xx its meaning, 3xx inputs, 4xx outputs, 5xx gates.
/// A number never changes its meaning and is never used again. The hundreds choose the exit code.
/// </summary>
public enum DiagnosticCode
{
    /// <summary>The text is not JSON.</summary>
    NotJson = 101,

    /// <summary>A key stands twice in one object; two things share an id.</summary>
    DuplicateName = 102,

    /// <summary>A key that nothing reads.</summary>
    UnknownKey = 103,

    /// <summary>A value of another JSON type than wanted.</summary>
    WrongType = 104,

    /// <summary>A key that must be there is not.</summary>
    MissingKey = 105,

    /// <summary>The format number is not one this version reads.</summary>
    UnknownFormat = 106,

    /// <summary>An id that cannot be used as a name.</summary>
    BadName = 107,

    /// <summary>The graph file is too long, holds too much, or is nested too deep.</summary>
    TooLarge = 108,

    /// <summary>A node type that the catalog does not have.</summary>
    UnknownNodeType = 201,

    /// <summary>A name that no stem and no node has.</summary>
    UnknownName = 202,

    /// <summary>A number outside its bounds, or not finite.</summary>
    OutOfRange = 203,

    /// <summary>A word that is not one of the choices.</summary>
    UnknownChoice = 204,

    /// <summary>Parameters that contradict each other.</summary>
    Contradiction = 205,

    /// <summary>Nodes that feed each other in a ring.</summary>
    Cycle = 206,

    /// <summary>A node has too few or too many inputs, or an input of a kind that it cannot take.</summary>
    WrongInputs = 207,

    /// <summary>Something needs the anchor, and the graph names none.</summary>
    MissingAnchor = 208,

    /// <summary>A stem or a node that reaches no output.</summary>
    Unused = 209,

    /// <summary>Stems of different sample rates, and nothing says that they may be converted.</summary>
    MixedSampleRates = 210,

    /// <summary>A stem is converted to the graph's sample rate without having been asked for by name.</summary>
    RateConverted = 211,

    /// <summary>A stem or an output lies outside the folder that it belongs into, and that was not allowed.</summary>
    PathOutside = 212,

    /// <summary>What is to be measured of the anchor cannot be.</summary>
    NotMeasurable = 213,

    /// <summary>What was measured of the anchor is not certain, or there is nothing to find.</summary>
    Uncertain = 214,

    /// <summary>A recipe where a graph is wanted, or a graph where a recipe is.</summary>
    NotBound = 215,

    /// <summary>A pattern of file names that is none, or that can have no effect.</summary>
    BadPattern = 216,

    /// <summary>A stem's file is not there.</summary>
    StemMissing = 301,

    /// <summary>A stem's file is there, but may not be opened.</summary>
    StemUnreadable = 302,

    /// <summary>A stem's file is not audio of a kind that this version reads.</summary>
    StemNotAudio = 303,

    /// <summary>A stem's file is damaged or contradicts itself.</summary>
    StemDamaged = 304,

    /// <summary>A stem holds a sample that is not a finite number.</summary>
    StemNotFinite = 305,

    /// <summary>The graph file itself is not there or may not be opened.</summary>
    GraphUnreadable = 306,

    /// <summary>A stem's channels cannot be taken as they are: they are mixed down, or must be picked.</summary>
    StemChannels = 307,

    /// <summary>Where a stem's first frame lies is not certain, or not told at all.</summary>
    StemPlace = 308,

    /// <summary>A file of hits is not there, or may not be read.</summary>
    HitsUnreadable = 309,

    /// <summary>A file of hits does not say what it must.</summary>
    HitsWrong = 310,

    /// <summary>No file of a song is a stem that a recipe needs.</summary>
    NothingMatches = 311,

    /// <summary>Several files of a song match a stem that is one file.</summary>
    MatchedTwice = 312,

    /// <summary>A file of a song goes to no stem of a recipe.</summary>
    LeftOver = 313,

    /// <summary>A lock that cannot be read, is damaged, or is of another format.</summary>
    LockUnreadable = 314,

    /// <summary>An output would overwrite a stem or the graph.</summary>
    OutputOverInput = 401,

    /// <summary>Two outputs are one file.</summary>
    OutputOverOutput = 402,

    /// <summary>An output could not be written.</summary>
    OutputUnwritable = 403,

    /// <summary>An output's file name cannot be one.</summary>
    BadOutputFile = 404,

    /// <summary>Samples of an output went past full scale and were held there.</summary>
    Clipped = 405,

    /// <summary>An output does not read the loudness that it was to have.</summary>
    LoudnessMissed = 406,

    /// <summary>What was rendered could not be written down in the lock.</summary>
    LockUnwritten = 407,

    /// <summary>A gate does not hold: what was rendered is not as it was to be.</summary>
    GateFailed = 501,

    /// <summary>Something is not as the lock has it, and the lock was to hold.</summary>
    LockDiffers = 502,
}

/// <summary>How a code is written.</summary>
public static class DiagnosticCodeText
{
    /// <summary><c>RG203</c> and so on.</summary>
    public static string Text(this DiagnosticCode code) => "RG" + ((int)code).ToString(CultureInfo.InvariantCulture);
}
