// Time of day. The astronomers' day begins at noon.
module day_clock (clk, reset, hour, minute, second);
    parameter CLK_HZ = 12000000;

    input        clk, reset;      // reset is asynchronous, active high
    output [4:0] hour;
    output [5:0] minute, second;

    reg   [23:0] clocks;
    reg    [4:0] hour;
    reg    [5:0] minute, second;

    wire one_second = clocks == CLK_HZ - 1;
    wire one_minute = one_second && second == 59;
    wire one_hour   = one_minute && minute == 59;

    always @(posedge clk or posedge reset)
        if (reset)           clocks <= 0;
        else if (one_second) clocks <= 0;
        else                 clocks <= clocks + 1;

    always @(posedge clk or posedge reset)
        if (reset)           second <= 0;
        else if (one_minute) second <= 0;
        else if (one_second) second <= second + 1;

    always @(posedge clk or posedge reset)
        if (reset)           minute <= 0;
        else if (one_hour)   minute <= 0;
        else if (one_minute) minute <= minute + 1;

    always @(posedge clk)
        if (one_hour)        hour <= (hour == 23) ? 0 : hour + 1;
endmodule
