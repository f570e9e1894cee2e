// Strobe for the keypad, one clock in 1,200. No reset: an initial value starts it.
// Works on the falling edge.
module keypad_strobe (clk, strobe_n);
    input  clk;
    output strobe_n;

    parameter PERIOD = 1200;

    reg [10:0] count;
    initial count = 0;

    always @(negedge clk)
        if (count == 0)
            count <= PERIOD - 1;
        else
            count <= count - 1;

    assign strobe_n = count == 0;
endmodule
