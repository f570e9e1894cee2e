// Minutes 0 to 59 in the style of Verilog-1995: ports declared twice, defparam-friendly parameter,
// asynchronous reset, active high.
module minute_counter (clock, reset, ena, q, co);
    parameter LAST = 59;

    input        clock;
    input        reset;
    input        ena;
    output [5:0] q;
    output       co;

    reg    [5:0] q;

    assign co = ena & (q == LAST);

    always @(posedge clock or posedge reset)
        begin
            if (reset)
                q <= 0;
            else if (ena)
                begin
                    if (q == LAST)
                        q <= 0;
                    else
                        q <= q + 1;
                end
        end
endmodule
